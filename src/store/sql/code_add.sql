-- Keeps the hash of a one-time code.
INSERT INTO connect_code (name, code_hash, account_id, member_id, channel, created_at, expires_at, tries)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, 0)
ON CONFLICT (name) DO NOTHING
