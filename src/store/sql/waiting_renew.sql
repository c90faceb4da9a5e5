-- Keeps a message in hand for longer.
UPDATE waiting SET leased_until = ?2 WHERE id = ?1 AND state = 'waiting'
