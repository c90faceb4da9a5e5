-- How many messages of this chat are waiting?
SELECT COUNT(*) FROM waiting WHERE chat_id = ?1 AND state = 'waiting'
