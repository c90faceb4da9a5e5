-- Keeps the hash of a one-time sign-in link.
INSERT INTO sign_in_link (token_hash, member_id, created_at, expires_at) VALUES (?1, ?2, ?3, ?4)
