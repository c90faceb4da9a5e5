-- Which messages have no answer?
SELECT message.inbound_id FROM message LEFT JOIN reply ON reply.message_position = message.position
WHERE reply.message_position IS NULL ORDER BY message.position
