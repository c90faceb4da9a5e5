-- Are letters of this chat held back until the person writes again?
SELECT 1 FROM outbox WHERE chat_id = ?1 AND state = 'given up' AND last_failure = ?2 LIMIT 1
