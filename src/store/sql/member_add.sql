-- Adds a person to an account.
INSERT INTO member (account_id, name, role, created_at) VALUES (?1, ?2, ?3, ?4)
