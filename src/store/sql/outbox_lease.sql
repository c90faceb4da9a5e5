-- Takes the first letter of each chat that is due and in nobody's hands, for a while; not of messengers that have to wait.
UPDATE outbox SET leased_until = ?2
WHERE id IN (
    SELECT first.id FROM outbox AS first JOIN chat ON chat.id = first.chat_id
    WHERE first.state = 'queued' AND first.due_at <= ?1 AND COALESCE(first.leased_until, '') <= ?1
        AND chat.channel NOT IN (SELECT value FROM json_each(?4))
        AND NOT EXISTS (
            SELECT 1 FROM outbox AS earlier
            WHERE earlier.state = 'queued' AND earlier.chat_id = first.chat_id AND earlier.id < first.id
        )
    ORDER BY first.id LIMIT ?3
)
RETURNING id, account_id, chat_id, message_position, words, key, queued_at, attempts, pieces_sent
