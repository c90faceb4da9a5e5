-- Notes that a piece of a letter went out; the rest stays in hand.
UPDATE outbox SET pieces_sent = pieces_sent + 1, leased_until = ?2 WHERE id = ?1 AND state = 'queued'
RETURNING pieces_sent
