-- By which messengers does each member of this account write?
SELECT DISTINCT member_id, channel FROM chat WHERE account_id = ?1 AND ended_at IS NULL ORDER BY member_id, channel
