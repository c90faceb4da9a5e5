-- A file of an account.
SELECT id, way, media_type, name, sha256, bytes, at FROM file WHERE id = ?1 AND account_id = ?2;
