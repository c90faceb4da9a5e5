-- Which account gave out the client link of this hash?
SELECT account_id FROM projection WHERE table_name = 'client_links' AND key = ?1
