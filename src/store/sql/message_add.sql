-- Keeps a message as it was said.
INSERT INTO message (inbound_id, account_id, member_id, channel, external_id, text, received_at)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)
