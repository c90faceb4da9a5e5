-- Which account gave out the calendar address of this hash?
SELECT account_id FROM projection WHERE table_name = 'calendars' AND key = ?1
