-- Takes the first waiting message of each chat that is due and in nobody's hands, for a while.
UPDATE waiting SET leased_until = ?2, attempts = attempts + 1
WHERE id IN (
    SELECT first.id FROM waiting AS first
    WHERE first.state = 'waiting' AND first.due_at <= ?1 AND COALESCE(first.leased_until, '') <= ?1
        AND NOT EXISTS (
            SELECT 1 FROM waiting AS earlier
            WHERE earlier.state = 'waiting' AND earlier.chat_id = first.chat_id AND earlier.id < first.id
        )
    ORDER BY first.id LIMIT ?3
)
RETURNING id, chat_id, channel, external_id, saying, text, callback, media, received_at, attempts, sent_at
