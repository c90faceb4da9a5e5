-- In which accounts does the clock of a job run? By the stored projection, so that nothing has to be folded to know.
SELECT DISTINCT account_id FROM projection WHERE table_name = 'quotes' AND json_extract(json, '$.status') = 'here'
