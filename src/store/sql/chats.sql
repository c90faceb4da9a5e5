-- Who writes from where in this account?
SELECT chat.channel, chat.address, member.name, chat.heard_at, chat.silenced_at
FROM chat JOIN member ON member.id = chat.member_id
WHERE chat.account_id = ?1 AND chat.ended_at IS NULL ORDER BY chat.channel, member.name COLLATE NOCASE, chat.id
