-- Puts a failure that was moved here with its message.
INSERT INTO failure (message_position, failed_at, detail)
VALUES ((SELECT position FROM message WHERE account_id = ?1 AND inbound_id = ?2), ?3, ?4)
