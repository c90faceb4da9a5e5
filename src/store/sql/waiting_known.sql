-- Has this delivery been seen before?
SELECT 1 FROM waiting WHERE channel = ?1 AND external_id = ?2
