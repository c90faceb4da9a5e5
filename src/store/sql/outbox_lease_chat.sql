-- Takes every letter of one chat that is due and in nobody's hands, for a while.
UPDATE outbox SET leased_until = ?3
WHERE chat_id = ?1 AND state = 'queued' AND due_at <= ?2 AND COALESCE(leased_until, '') <= ?2
RETURNING id, account_id, chat_id, message_position, words, key, queued_at, attempts, pieces_sent
