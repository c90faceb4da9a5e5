-- Notes that handling a message failed.
INSERT INTO failure (message_position, failed_at, detail) VALUES (?1, ?2, ?3)
