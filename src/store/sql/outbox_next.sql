-- When is the next answer due to be sent?
SELECT MIN(due_at) FROM outbox WHERE state = 'queued'
