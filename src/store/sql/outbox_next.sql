-- When is the next answer to another program due to be sent?
SELECT MIN(due_at) FROM outbox WHERE state = 'queued' AND chat_id IS NULL
