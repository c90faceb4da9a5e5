-- Puts off an answer that was not taken.
UPDATE outbox SET attempts = attempts + 1, due_at = ?2, last_failure = ?3, leased_until = NULL
WHERE id = ?1 AND state = 'queued'
