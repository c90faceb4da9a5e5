-- What was this member last asked?
SELECT reply.json FROM message JOIN reply ON reply.message_position = message.position
WHERE message.account_id = ?1 AND message.member_id = ?2 AND json_extract(reply.json, '$.asks') IS NOT NULL
ORDER BY message.position DESC LIMIT 1
