-- The latest recording that a member sent, with the message that it came with.
SELECT file.id, file.way, file.media_type, file.name, file.sha256, file.bytes, file.at, message.inbound_id
FROM file JOIN message ON message.position = file.message_position
WHERE file.account_id = ?1 AND message.member_id = ?2 AND file.way = 'in' AND file.media_type LIKE 'audio/%'
ORDER BY file.message_position DESC LIMIT 1;
