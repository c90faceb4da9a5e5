-- Keeps the hash of a session.
INSERT INTO session (token_hash, member_id, created_at, expires_at, device) VALUES (?1, ?2, ?3, ?4, ?5)
