-- Queues an answer to be carried to another program, or to a chat.
INSERT INTO outbox (account_id, chat_id, message_position, key, queued_at, state, attempts, pieces_sent, due_at)
VALUES (?1, ?2, ?3, ?4, ?5, 'queued', 0, 0, ?5)
