-- Lets a letter go again without a try.
UPDATE outbox SET leased_until = NULL WHERE id = ?1 AND state = 'queued'
