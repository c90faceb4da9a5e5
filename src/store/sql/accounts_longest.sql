-- Which accounts have the most events?
SELECT account_id FROM projection_seen WHERE sequence >= ?1 ORDER BY sequence DESC LIMIT ?2
