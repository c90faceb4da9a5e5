-- Which letters of this account were given up? Those to people first, newest first; an answer to another program has no name.
SELECT outbox.id, member.name, COALESCE(chat.channel, 'callback'), COALESCE(outbox.words, reply.text), outbox.queued_at,
    outbox.last_failure
FROM outbox
    LEFT JOIN chat ON chat.id = outbox.chat_id
    LEFT JOIN member ON member.id = chat.member_id
    LEFT JOIN reply ON reply.message_position = outbox.message_position
WHERE outbox.account_id = ?1 AND outbox.state = 'given up' AND chat.ended_at IS NULL
ORDER BY outbox.chat_id IS NULL, outbox.id DESC LIMIT ?2
