-- Which is the newest message of this account?
SELECT position FROM message WHERE account_id = ?1 ORDER BY position DESC LIMIT 1
