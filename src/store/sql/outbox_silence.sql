-- Gives up the letters of a chat that are in nobody's hands: its person wants no more.
UPDATE outbox SET state = 'given up', last_failure = ?2, leased_until = NULL
WHERE chat_id = ?1 AND state = 'queued' AND COALESCE(leased_until, '') <= ?3
