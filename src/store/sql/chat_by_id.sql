-- Which chat is this, if its member still has it?
SELECT id, account_id, member_id, channel, address, room, heard_at, silenced_at
FROM chat WHERE id = ?1 AND ended_at IS NULL
