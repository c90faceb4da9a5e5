-- Keeps the answer to a message.
INSERT INTO reply (message_position, text, json) VALUES (?1, ?2, ?3)
