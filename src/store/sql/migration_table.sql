-- Where the book notes which migrations it has had.
CREATE TABLE IF NOT EXISTS migration (
    number INTEGER PRIMARY KEY,
    name TEXT NOT NULL,
    sha256 TEXT NOT NULL,
    applied_at TEXT NOT NULL
) STRICT
