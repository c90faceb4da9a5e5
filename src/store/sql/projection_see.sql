-- Notes up to which event the projection has seen this account.
INSERT INTO projection_seen (account_id, sequence, form) VALUES (?1, ?2, ?3)
ON CONFLICT (account_id) DO UPDATE SET sequence = excluded.sequence, form = excluded.form
