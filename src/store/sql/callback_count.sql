-- How many answers to another program wait, and how many were given up?
SELECT
    (SELECT COUNT(*) FROM outbox WHERE chat_id IS NULL AND state = 'queued'),
    (SELECT COUNT(*) FROM outbox WHERE chat_id IS NULL AND state = 'given up')
