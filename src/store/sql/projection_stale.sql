-- Which accounts have a projection that was written in another form?
SELECT account_id FROM projection_seen WHERE form <> ?1
