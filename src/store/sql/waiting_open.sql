-- Is this message still waiting to be handled?
SELECT 1 FROM waiting WHERE channel = ?1 AND external_id = ?2 AND state = 'waiting'
