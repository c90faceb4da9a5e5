-- How many messages wait, letters are queued, and letters were given up, by this messenger?
SELECT
    (SELECT COUNT(*) FROM waiting WHERE channel = ?1 AND state = 'waiting'),
    (SELECT COUNT(*) FROM outbox JOIN chat ON chat.id = outbox.chat_id WHERE chat.channel = ?1 AND outbox.state = 'queued'),
    (SELECT COUNT(*) FROM outbox JOIN chat ON chat.id = outbox.chat_id
        WHERE chat.channel = ?1 AND outbox.state = 'given up' AND chat.ended_at IS NULL),
    (SELECT COUNT(*) FROM chat WHERE channel = ?1 AND ended_at IS NULL)
