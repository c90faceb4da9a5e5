-- Which letters of this account were given up? Newest first.
SELECT outbox.id, member.name, chat.channel, COALESCE(outbox.words, reply.text), outbox.queued_at, outbox.last_failure
FROM outbox
    JOIN chat ON chat.id = outbox.chat_id
    JOIN member ON member.id = chat.member_id
    LEFT JOIN reply ON reply.message_position = outbox.message_position
WHERE outbox.account_id = ?1 AND outbox.state = 'given up' AND chat.ended_at IS NULL
ORDER BY outbox.id DESC LIMIT ?2
