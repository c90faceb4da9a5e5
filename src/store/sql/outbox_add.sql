-- Queues an answer to be carried to another program.
INSERT INTO outbox (message_position, key, queued_at, state, attempts, due_at) VALUES (?1, ?2, ?3, 'queued', 0, ?3)
