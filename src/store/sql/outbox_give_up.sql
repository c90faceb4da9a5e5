-- Gives up on an answer that will not be taken.
UPDATE outbox SET state = 'given up', attempts = attempts + 1, last_failure = ?2, leased_until = NULL
WHERE id = ?1 AND state = 'queued'
