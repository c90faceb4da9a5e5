-- Puts a message that was moved here.
INSERT INTO message (account_id, inbound_id, member_id, channel, external_id, text, received_at)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)
