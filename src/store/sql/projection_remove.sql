-- Takes away a row that the events no longer add up to.
DELETE FROM projection WHERE account_id = ?1 AND table_name = ?2 AND key = ?3
