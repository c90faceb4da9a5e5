-- Which messages is this quote named in, and what was answered? Newest first.
SELECT message.position, message.inbound_id, message.channel, message.text, message.received_at, reply.text, reply.json
FROM message JOIN reply ON reply.message_position = message.position
WHERE message.inbound_id IN
    (SELECT cause FROM event WHERE account_id = ?1 AND json_extract(payload, '$.no') = ?2 AND json_extract(payload, '$.no') IS NOT NULL)
ORDER BY message.position DESC LIMIT ?3
