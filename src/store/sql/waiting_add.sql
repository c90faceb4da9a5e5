-- Keeps a message until it is handled.
INSERT INTO waiting (chat_id, channel, external_id, saying, text, callback, media, received_at, state, attempts, due_at, sent_at)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, 0, ?8, ?10)
