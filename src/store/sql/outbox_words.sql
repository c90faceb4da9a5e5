-- Queues words that answer no message.
INSERT INTO outbox (account_id, chat_id, words, key, queued_at, state, attempts, pieces_sent, due_at)
VALUES (?1, ?2, ?3, ?4, ?5, 'queued', 0, 0, ?5)
ON CONFLICT (key) DO NOTHING
