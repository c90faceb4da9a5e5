-- The book: who keeps it, what was said, the facts that came of it, and what can be rebuilt from those facts.
-- Times are RFC 3339 in UTC; decimals live as text inside the JSON payloads; nothing is REAL.

CREATE TABLE account (
    id INTEGER PRIMARY KEY,
    created_at TEXT NOT NULL
) STRICT;

CREATE TABLE member (
    id INTEGER PRIMARY KEY,
    account_id INTEGER NOT NULL REFERENCES account (id),
    name TEXT NOT NULL COLLATE NOCASE CHECK (length(name) BETWEEN 1 AND 80),
    role TEXT NOT NULL CHECK (role IN ('owner', 'crew')),
    created_at TEXT NOT NULL,
    UNIQUE (account_id, name)
) STRICT;

-- Every message taken in, as it was said. The outside id is what makes a second delivery recognisable.
CREATE TABLE message (
    position INTEGER PRIMARY KEY,
    inbound_id TEXT NOT NULL UNIQUE,
    account_id INTEGER NOT NULL REFERENCES account (id),
    member_id INTEGER NOT NULL REFERENCES member (id),
    channel TEXT NOT NULL,
    external_id TEXT NOT NULL,
    text TEXT NOT NULL,
    received_at TEXT NOT NULL,
    UNIQUE (account_id, channel, external_id)
) STRICT;

CREATE INDEX message_of_member ON message (account_id, member_id, position);

-- The facts. Sequence counts each account's events from 1 without a gap; the pair is the lock against a second writer.
CREATE TABLE event (
    position INTEGER PRIMARY KEY,
    account_id INTEGER NOT NULL REFERENCES account (id),
    sequence INTEGER NOT NULL CHECK (sequence >= 1),
    kind TEXT NOT NULL,
    version INTEGER NOT NULL CHECK (version >= 1),
    recorded_at TEXT NOT NULL,
    cause TEXT NOT NULL REFERENCES message (inbound_id),
    member_id INTEGER NOT NULL REFERENCES member (id),
    payload TEXT NOT NULL CHECK (json_valid(payload)),
    UNIQUE (account_id, sequence)
) STRICT;

-- The one answer that each message got, in words and as data: what a second delivery is given again.
CREATE TABLE reply (
    message_position INTEGER PRIMARY KEY REFERENCES message (position),
    text TEXT NOT NULL,
    json TEXT NOT NULL CHECK (json_valid(json))
) STRICT;

-- Messages whose handling failed, and how. The message itself stays, with an apology for a reply.
CREATE TABLE failure (
    message_position INTEGER PRIMARY KEY REFERENCES message (position),
    failed_at TEXT NOT NULL,
    detail TEXT NOT NULL
) STRICT;

-- What the events add up to, row by row; it may be thrown away and rebuilt at any time.
CREATE TABLE projection (
    account_id INTEGER NOT NULL REFERENCES account (id),
    table_name TEXT NOT NULL,
    key TEXT NOT NULL,
    json TEXT NOT NULL CHECK (json_valid(json)),
    PRIMARY KEY (account_id, table_name, key)
) STRICT, WITHOUT ROWID;

-- Up to which event the projection has seen, and in which form it was written.
CREATE TABLE projection_seen (
    account_id INTEGER PRIMARY KEY REFERENCES account (id),
    sequence INTEGER NOT NULL CHECK (sequence >= 0),
    form INTEGER NOT NULL CHECK (form >= 1)
) STRICT;

-- Answers to be carried to another program: queued with the answer, sent after the commit, at least once, under one key.
CREATE TABLE outbox (
    id INTEGER PRIMARY KEY,
    message_position INTEGER NOT NULL UNIQUE REFERENCES message (position),
    key TEXT NOT NULL UNIQUE,
    queued_at TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('queued', 'sent', 'given up')),
    attempts INTEGER NOT NULL CHECK (attempts >= 0),
    due_at TEXT NOT NULL,
    sent_at TEXT,
    last_failure TEXT,
    CHECK ((state = 'sent') = (sent_at IS NOT NULL))
) STRICT;

CREATE INDEX outbox_due ON outbox (due_at) WHERE state = 'queued';

-- Ways in. Only hashes are kept: whoever reads the book file cannot sign in with what is in it.
CREATE TABLE sign_in_link (
    token_hash TEXT PRIMARY KEY,
    member_id INTEGER NOT NULL REFERENCES member (id),
    created_at TEXT NOT NULL,
    expires_at TEXT NOT NULL,
    used_at TEXT
) STRICT;

CREATE TABLE session (
    token_hash TEXT PRIMARY KEY,
    member_id INTEGER NOT NULL REFERENCES member (id),
    created_at TEXT NOT NULL,
    expires_at TEXT NOT NULL
) STRICT;

-- What was said, decided and answered is never rewritten. A mistake is corrected by a later event.
CREATE TRIGGER message_stays BEFORE UPDATE ON message BEGIN SELECT RAISE(ABORT, 'a message is never changed'); END;
CREATE TRIGGER message_kept BEFORE DELETE ON message BEGIN SELECT RAISE(ABORT, 'a message is never removed'); END;
CREATE TRIGGER event_stays BEFORE UPDATE ON event BEGIN SELECT RAISE(ABORT, 'an event is never changed'); END;
CREATE TRIGGER event_kept BEFORE DELETE ON event BEGIN SELECT RAISE(ABORT, 'an event is never removed'); END;
CREATE TRIGGER reply_stays BEFORE UPDATE ON reply BEGIN SELECT RAISE(ABORT, 'a reply is never changed'); END;
CREATE TRIGGER reply_kept BEFORE DELETE ON reply BEGIN SELECT RAISE(ABORT, 'a reply is never removed'); END;
CREATE TRIGGER failure_stays BEFORE UPDATE ON failure BEGIN SELECT RAISE(ABORT, 'a failure is never changed'); END;
CREATE TRIGGER failure_kept BEFORE DELETE ON failure BEGIN SELECT RAISE(ABORT, 'a failure is never removed'); END;
