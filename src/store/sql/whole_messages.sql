-- What was said in this account, to be moved?
SELECT inbound_id, member_id, channel, external_id, text, received_at FROM message WHERE account_id = ?1 ORDER BY position
