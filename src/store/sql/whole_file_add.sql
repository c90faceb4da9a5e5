-- Puts a file that was moved here with its message.
INSERT INTO file (account_id, id, message_position, way, media_type, name, sha256, bytes, at)
VALUES (?1, ?2, (SELECT position FROM message WHERE account_id = ?1 AND inbound_id = ?3), ?4, ?5, ?6, ?7, ?8, ?9)
