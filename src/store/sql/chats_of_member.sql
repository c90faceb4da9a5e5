-- In which chats is this member told things?
SELECT id FROM chat WHERE account_id = ?1 AND member_id = ?2 AND ended_at IS NULL AND silenced_at IS NULL ORDER BY id
