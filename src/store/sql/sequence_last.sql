-- How many events has this account?
SELECT COALESCE(MAX(sequence), 0) FROM event WHERE account_id = ?1
