-- Opens an account.
INSERT INTO account (created_at) VALUES (?1)
