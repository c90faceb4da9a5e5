-- Puts an answer that was moved here with its message.
INSERT INTO reply (message_position, text, json)
VALUES ((SELECT position FROM message WHERE account_id = ?1 AND inbound_id = ?2), ?3, ?4)
