-- What a file of an account is called, without its content.
SELECT media_type, name FROM file WHERE id = ?1 AND account_id = ?2;
