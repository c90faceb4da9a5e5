-- Which messages of this account failed, to be moved?
SELECT message.inbound_id, failure.failed_at, failure.detail
FROM failure JOIN message ON message.position = failure.message_position
WHERE message.account_id = ?1 ORDER BY message.position
