-- Puts a message off.
UPDATE waiting SET due_at = ?2, leased_until = NULL, last_failure = ?3 WHERE id = ?1 AND state = 'waiting'
