-- Notes that an answer was taken.
UPDATE outbox SET state = 'sent', sent_at = ?2, attempts = attempts + 1, last_failure = NULL, leased_until = NULL
WHERE id = ?1 AND state = 'queued'
