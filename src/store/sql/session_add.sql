-- Keeps the hash of a session.
INSERT INTO session (token_hash, member_id, created_at, expires_at) VALUES (?1, ?2, ?3, ?4)
