-- Notes that a piece of a letter went out; the rest stays in hand.
UPDATE outbox SET pieces_sent = pieces_sent + 1, outside_id = COALESCE(?2, outside_id), leased_until = ?3
WHERE id = ?1 AND state = 'queued'
