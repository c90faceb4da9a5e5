-- What did this member say before a given message, and what was answered? Newest first.
SELECT message.position, message.inbound_id, message.channel, message.text, message.received_at, reply.text, reply.json
FROM message JOIN reply ON reply.message_position = message.position
WHERE message.account_id = ?1 AND message.member_id = ?2 AND message.position < ?3
ORDER BY message.position DESC LIMIT ?4
