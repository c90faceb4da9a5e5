-- Files that came with messages and that went out with answers, kept beside the words. They are not facts: the events name
-- them, and old recordings may be let go of.

CREATE TABLE file (
    id TEXT PRIMARY KEY,
    account_id INTEGER NOT NULL REFERENCES account (id),
    message_position INTEGER REFERENCES message (position),
    way TEXT NOT NULL CHECK (way IN ('in', 'out')),
    media_type TEXT NOT NULL,
    name TEXT NOT NULL,
    sha256 TEXT NOT NULL CHECK (length(sha256) = 64),
    bytes BLOB NOT NULL,
    at TEXT NOT NULL
) STRICT;

CREATE INDEX file_of_message ON file (message_position);
CREATE INDEX file_by_age ON file (account_id, at);

-- Links to single files that need no session: 256 random bits, of which the hash is kept.
CREATE TABLE file_link (
    token_hash TEXT PRIMARY KEY,
    file_id TEXT NOT NULL REFERENCES file (id) ON DELETE CASCADE,
    created_at TEXT NOT NULL,
    expires_at TEXT NOT NULL
) STRICT;

CREATE INDEX file_link_of_file ON file_link (file_id);

-- A file is replaced by nothing; only the message that it belongs to may become known later.
CREATE TRIGGER file_stays BEFORE UPDATE OF id, account_id, way, media_type, name, sha256, bytes, at ON file
BEGIN SELECT RAISE(ABORT, 'a file is never changed'); END;
