-- Keeps the hash of a link to a file of an account; nothing when the account has no such file.
INSERT INTO file_link (token_hash, file_id, created_at, expires_at)
SELECT ?1, id, ?4, ?5 FROM file WHERE id = ?2 AND account_id = ?3;
