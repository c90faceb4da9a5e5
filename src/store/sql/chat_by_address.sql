-- Who writes from this address?
SELECT id, account_id, member_id, channel, address, room, heard_at, silenced_at
FROM chat WHERE channel = ?1 AND address = ?2 AND ended_at IS NULL
