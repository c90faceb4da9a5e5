-- Writes one row of what the events add up to.
INSERT INTO projection (account_id, table_name, key, json) VALUES (?1, ?2, ?3, ?4)
ON CONFLICT (account_id, table_name, key) DO UPDATE SET json = excluded.json
