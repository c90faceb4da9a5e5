-- Clears sessions that have run out.
DELETE FROM session WHERE expires_at <= ?1
