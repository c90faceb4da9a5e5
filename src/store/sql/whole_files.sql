-- Which files does this account keep, to be moved?
SELECT file.id, message.inbound_id, file.way, file.media_type, file.name, file.sha256, file.bytes, file.at
FROM file LEFT JOIN message ON message.position = file.message_position
WHERE file.account_id = ?1 ORDER BY file.at, file.id
