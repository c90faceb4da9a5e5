-- Keeps a file.
INSERT INTO file (id, account_id, message_position, way, media_type, name, sha256, bytes, at)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9);
