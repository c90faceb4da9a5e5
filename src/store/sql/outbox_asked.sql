-- Which message did this letter answer, if it went to this chat?
SELECT reply.message_position, reply.json FROM outbox JOIN reply ON reply.message_position = outbox.message_position
WHERE outbox.id = ?1 AND outbox.chat_id = ?2
