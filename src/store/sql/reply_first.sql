-- Which answer did this delivery get the first time?
SELECT message.inbound_id, message.received_at, reply.text, reply.json
FROM message JOIN reply ON reply.message_position = message.position
WHERE message.account_id = ?1 AND message.channel = ?2 AND message.external_id = ?3
