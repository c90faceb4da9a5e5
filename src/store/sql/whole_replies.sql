-- What was answered in this account, to be moved?
SELECT message.inbound_id, reply.text, reply.json
FROM reply JOIN message ON message.position = reply.message_position
WHERE message.account_id = ?1 ORDER BY message.position
