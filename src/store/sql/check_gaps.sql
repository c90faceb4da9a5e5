-- Which accounts have gaps in their events?
SELECT account_id, COUNT(*), MIN(sequence), MAX(sequence) FROM event GROUP BY account_id
HAVING MIN(sequence) <> 1 OR MAX(sequence) <> COUNT(*)
