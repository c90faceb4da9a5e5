-- Which answers to another program are waiting to be sent and due by now, oldest first?
SELECT outbox.id, outbox.key, outbox.attempts, reply.json
FROM outbox JOIN reply ON reply.message_position = outbox.message_position
WHERE outbox.state = 'queued' AND outbox.chat_id IS NULL AND outbox.due_at <= ?1
ORDER BY outbox.due_at, outbox.id LIMIT ?2
