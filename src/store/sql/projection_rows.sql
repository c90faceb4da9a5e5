-- What does the stored projection say of this account?
SELECT table_name, key, json FROM projection WHERE account_id = ?1 ORDER BY table_name, key
