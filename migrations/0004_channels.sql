-- Messengers: who writes from where, one-time codes, messages that wait to be handled, and letters that wait to be sent.

-- Where a member writes from and is answered. One person may have several; an address belongs to one person.
CREATE TABLE chat (
    id INTEGER PRIMARY KEY,
    account_id INTEGER NOT NULL REFERENCES account (id),
    member_id INTEGER NOT NULL REFERENCES member (id),
    channel TEXT NOT NULL,
    address TEXT NOT NULL,
    room TEXT NOT NULL,
    bound_at TEXT NOT NULL,
    heard_at TEXT NOT NULL,
    silenced_at TEXT,
    ended_at TEXT
) STRICT;

CREATE UNIQUE INDEX chat_address ON chat (channel, address) WHERE ended_at IS NULL;
CREATE INDEX chat_of_member ON chat (account_id, member_id);

-- Codes that tie an address to a member. Only a hash is kept; the name finds the code, so that wrong tries count against it.
CREATE TABLE connect_code (
    name TEXT PRIMARY KEY,
    code_hash TEXT NOT NULL,
    account_id INTEGER NOT NULL REFERENCES account (id),
    member_id INTEGER NOT NULL REFERENCES member (id),
    channel TEXT,
    created_at TEXT NOT NULL,
    expires_at TEXT NOT NULL,
    tries INTEGER NOT NULL CHECK (tries >= 0),
    used_at TEXT
) STRICT, WITHOUT ROWID;

-- Messages of messengers: claimed by the provider's id, acknowledged after the commit, handled in order for each room.
-- The words go when the message is handled and in the book; the id stays, to know a second delivery.
CREATE TABLE waiting (
    id INTEGER PRIMARY KEY,
    chat_id INTEGER NOT NULL REFERENCES chat (id),
    channel TEXT NOT NULL,
    external_id TEXT NOT NULL,
    saying TEXT NOT NULL CHECK (saying IN ('text', 'edit', 'press')),
    text TEXT NOT NULL,
    callback TEXT,
    media TEXT NOT NULL CHECK (json_valid(media)),
    received_at TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('waiting', 'done', 'dropped')),
    attempts INTEGER NOT NULL CHECK (attempts >= 0),
    due_at TEXT NOT NULL,
    leased_until TEXT,
    last_failure TEXT,
    UNIQUE (channel, external_id)
) STRICT;

CREATE INDEX waiting_open ON waiting (chat_id, id) WHERE state = 'waiting';

-- How far the news of a messenger that we ask ourselves has been taken.
CREATE TABLE cursor (
    channel TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- How each messenger fares, for the owner to see.
CREATE TABLE channel_state (
    channel TEXT PRIMARY KEY,
    heard_at TEXT,
    sent_at TEXT,
    failed_at TEXT,
    failure TEXT
) STRICT, WITHOUT ROWID;

-- The outbox, for answers to other programs (no chat) and letters to chats. A letter that answers a message has its words in
-- that message's reply; one that answers none has words of its own.
ALTER TABLE outbox RENAME TO outbox_before;

CREATE TABLE outbox (
    id INTEGER PRIMARY KEY,
    account_id INTEGER NOT NULL REFERENCES account (id),
    chat_id INTEGER REFERENCES chat (id),
    message_position INTEGER REFERENCES message (position),
    words TEXT,
    key TEXT NOT NULL UNIQUE,
    queued_at TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('queued', 'sent', 'given up')),
    attempts INTEGER NOT NULL CHECK (attempts >= 0),
    pieces_sent INTEGER NOT NULL CHECK (pieces_sent >= 0),
    due_at TEXT NOT NULL,
    leased_until TEXT,
    sent_at TEXT,
    outside_id TEXT,
    last_failure TEXT,
    CHECK ((state = 'sent') = (sent_at IS NOT NULL)),
    CHECK ((message_position IS NULL) = (words IS NOT NULL))
) STRICT;

INSERT INTO outbox (
    id, account_id, message_position, key, queued_at, state, attempts, pieces_sent, due_at, sent_at, last_failure
)
SELECT outbox_before.id, message.account_id, message_position, key, queued_at, state, attempts, 0, due_at, sent_at, last_failure
FROM outbox_before JOIN message ON message.position = outbox_before.message_position;

DROP TABLE outbox_before;

CREATE INDEX outbox_due ON outbox (due_at) WHERE state = 'queued';
CREATE INDEX outbox_open ON outbox (chat_id, id) WHERE state = 'queued';
CREATE INDEX outbox_undelivered ON outbox (account_id, id) WHERE state = 'given up';
CREATE UNIQUE INDEX outbox_answer ON outbox (message_position, COALESCE(chat_id, 0)) WHERE message_position IS NOT NULL;
