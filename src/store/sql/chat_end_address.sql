-- Unties an address from whoever had it.
UPDATE chat SET ended_at = ?3 WHERE channel = ?1 AND address = ?2 AND ended_at IS NULL
