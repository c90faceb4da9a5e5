-- Which code that is still good has this name?
SELECT code_hash, account_id, member_id, channel FROM connect_code
WHERE name = ?1 AND used_at IS NULL AND expires_at > ?2 AND tries < ?3
