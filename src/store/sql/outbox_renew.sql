-- Keeps a letter in hand for longer.
UPDATE outbox SET leased_until = ?2 WHERE id = ?1 AND state = 'queued'
