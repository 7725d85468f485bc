BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0004');
CREATE TABLE attempt_entries (
	attempt_id INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	body TEXT NOT NULL, chain TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (attempt_id, seq), 
	FOREIGN KEY(attempt_id) REFERENCES attempts (id)
);
INSERT INTO "attempt_entries" VALUES(1,1,'2026-11-20T09:01:30.000000Z','begun','{"format": 1, "kind": "begun", "pack_version": "1", "scenario": "4::fuel", "lesson": "dead-1", "hints": true, "coach": false, "words": "It is as dead as a stone."}','19d78e4177bf1e17ac64a56f2bf273b5');
INSERT INTO "attempt_entries" VALUES(1,2,'2026-11-20T09:02:00.000000Z','stepped','{"format": 1, "kind": "stepped", "step": {"move": {"do": "correct", "correction": "fill-up", "causes": ["stale-fuel"]}, "cautions_read": true, "hints": 0}, "came": ""}','4521ca604404fac11a14bbdf47bd68f2');
INSERT INTO "attempt_entries" VALUES(1,3,'2026-11-20T09:02:30.000000Z','stepped','{"format": 1, "kind": "stepped", "step": {"move": {"do": "ride"}, "cautions_read": true, "hints": 0}, "came": "gone"}','de1d2b29412fbb08d7d5ee78b9373b25');
INSERT INTO "attempt_entries" VALUES(1,4,'2026-11-20T09:03:00.000000Z','stepped','{"format": 1, "kind": "stepped", "step": {"move": {"do": "hand-back"}, "cautions_read": true, "hints": 0}, "came": ""}','0ebc13cb7adee6a66ed082b49669f10d');
INSERT INTO "attempt_entries" VALUES(1,5,'2026-11-20T09:03:00.000000Z','finished','{"format": 1, "kind": "finished", "document": {"format": 1, "pack": {"id": "mower", "version": "1"}, "scenario": {"id": "4::fuel", "seed": 4, "level": null, "theme": "fuel", "complaints": ["no-start"], "machine": {"engine": "petrol", "size": "small"}, "title": "Dead again", "teaches": "Look into the tank first."}, "finished": true, "score": {"total": 100.0, "passed": true, "failed": "", "minutes": 10.0, "cost_ratio": 1.0, "hints": 0, "hint_points": 0, "true_causes": ["stale-fuel"], "behind": ["stale-fuel"], "named": ["stale-fuel"], "measures": [{"id": "right-cause", "title": "right-cause", "value": 1.0, "share": 1.0, "points": 20.0, "out_of": 20.0, "meaning": "invented for the tests", "source": ["made-up"], "steps": []}, {"id": "proven", "title": "proven", "value": 1.0, "share": 1.0, "points": 15.0, "out_of": 15.0, "meaning": "invented for the tests", "source": ["made-up"], "steps": []}, {"id": "expected-cost", "title": "expected-cost", "value": 1.0, "share": 1.0, "points": 25.0, "out_of": 25.0, "meaning": "invented for the tests", "source": ["made-up"], "steps": []}, {"id": "order", "title": "order", "value": 1.0, "share": 1.0, "points": 15.0, "out_of": 15.0, "meaning": "invented for the tests", "source": ["made-up"], "steps": []}, {"id": "information", "title": "information", "value": 1.0, "share": 1.0, "points": 10.0, "out_of": 10.0, "meaning": "invented for the tests", "source": ["made-up"], "steps": []}, {"id": "closure", "title": "closure", "value": 1.0, "share": 1.0, "points": 10.0, "out_of": 10.0, "meaning": "invented for the tests", "source": ["made-up"], "steps": []}, {"id": "cautions", "title": "cautions", "value": 1.0, "share": 1.0, "points": 5.0, "out_of": 5.0, "meaning": "invented for the tests", "source": ["made-up"], "steps": []}]}, "review": [{"number": 1, "move": {"do": "correct", "correction": "fill-up", "causes": ["stale-fuel"]}, "did": "Fill with fresh fuel (for: Stale fuel)", "result": "", "minutes": 5.0, "leading": [{"cause": "stale-fuel", "probability": 0.552840335661622}, {"cause": "no-fuel", "probability": 0.2494975185231893}, {"cause": "carburettor-gummed", "probability": 0.21078661077356317}], "advised": {"kind": "correct", "target": "fill-up", "text": "Fill with fresh fuel", "why": "80% likely to be needed for 5 minutes of work, and more checking would not pay.", "constraint": ""}, "chosen_cost": 36.072582607263065, "advised_cost": 36.072582607263065, "loss": 0.0, "faults": [], "better": ""}, {"number": 2, "move": {"do": "ride"}, "did": "Sent for a ride", "result": "gone", "minutes": 5.0, "leading": [{"cause": "carburettor-gummed", "probability": 0.21078661077356317}, {"cause": "plug-worn", "probability": 0.12565151008349598}], "advised": {"kind": "confirm", "target": "fill-up", "text": "Confirming ride", "why": "One change at a time: ride it now, before anything else is touched.", "constraint": "one change at a time"}, "chosen_cost": 115.00257439831861, "advised_cost": 115.00257439831861, "loss": 0.0, "faults": [], "better": ""}, {"number": 3, "move": {"do": "hand-back"}, "did": "Handed back to the customer", "result": "", "minutes": 0.0, "leading": [{"cause": "plug-worn", "probability": 0.017053105162805345}, {"cause": "carburettor-gummed", "probability": 0.011157266850661578}], "advised": {"kind": "close", "target": "", "text": "Proven: close the case", "why": "The confirming ride proved the correction.", "constraint": ""}, "chosen_cost": 0.0, "advised_cost": 0.0, "loss": 0.0, "faults": [], "better": ""}], "log": [{"move": {"do": "correct", "correction": "fill-up", "causes": ["stale-fuel"]}, "cautions_read": true, "hints": 0}, {"move": {"do": "ride"}, "cautions_read": true, "hints": 0}, {"move": {"do": "hand-back"}, "cautions_read": true, "hints": 0}]}}','99b5f380e5f54cce2538b67ccee5dbc3');
INSERT INTO "attempt_entries" VALUES(2,1,'2026-11-20T09:04:00.000000Z','begun','{"format": 1, "kind": "begun", "pack_version": "1", "scenario": "10::fuel", "lesson": "dead-2", "hints": true, "coach": false, "words": ""}','e13f2a694aa9a69f669cf5b6ffc6b88f');
INSERT INTO "attempt_entries" VALUES(2,2,'2026-11-20T09:04:30.000000Z','hinted','{"format": 1, "kind": "hinted"}','3398e326de915cee9a7bde0e3a9c5e02');
INSERT INTO "attempt_entries" VALUES(2,3,'2026-11-20T09:05:00.000000Z','stepped','{"format": 1, "kind": "stepped", "step": {"move": {"do": "observe", "observation": "tank-look"}, "cautions_read": false, "hints": 1}, "came": "Empty"}','4ea7811c80181e9525c38c9473575b19');
CREATE TABLE attempts (
	id INTEGER NOT NULL, 
	trainee_id INTEGER NOT NULL, 
	pack TEXT NOT NULL, 
	scenario TEXT NOT NULL, 
	lesson TEXT, 
	sitting INTEGER, 
	state TEXT NOT NULL, 
	result TEXT, 
	began_at TEXT NOT NULL, 
	changed_at TEXT NOT NULL, entries INTEGER DEFAULT '0' NOT NULL, head TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(trainee_id) REFERENCES trainees (id)
);
INSERT INTO "attempts" VALUES(1,1,'mower','4::fuel','dead-1',NULL,'finished','{"total": 100.0, "passed": true, "failed": "", "minutes": 10.0, "cost_ratio": 1.0, "hints": 0, "measures": {"right-cause": 1.0, "proven": 1.0, "expected-cost": 1.0, "order": 1.0, "information": 1.0, "closure": 1.0, "cautions": 1.0}, "causes": ["stale-fuel"], "groups": ["fuel"], "named": ["stale-fuel"], "level": "", "theme": "fuel"}','2026-11-20T09:01:30.000000Z','2026-11-20T09:03:00.000000Z',5,'99b5f380e5f54cce2538b67ccee5dbc3');
INSERT INTO "attempts" VALUES(2,1,'mower','10::fuel','dead-2',NULL,'open',NULL,'2026-11-20T09:04:00.000000Z','2026-11-20T09:05:00.000000Z',3,'4ea7811c80181e9525c38c9473575b19');
CREATE TABLE bike_entries (
	bike_id INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	body TEXT NOT NULL, chain TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (bike_id, seq), 
	FOREIGN KEY(bike_id) REFERENCES bikes (id)
);
INSERT INTO "bike_entries" VALUES(1,1,'2026-05-01T08:03:00.000000Z','facts','{"format": 1, "kind": "facts", "traits": {"size": "large"}, "use": "lawn"}','2a3f3019930711ee71e87fbe8f5913c8');
INSERT INTO "bike_entries" VALUES(1,2,'2026-05-01T08:03:00.000000Z','target','{"format": 1, "kind": "target", "spec": "plug-gap", "figure": {"value": 0.75, "unit": "mm"}, "read_in": "leaflet, page 3", "on": "2026-05-01"}','bb320cf21534a7b6ff14936b46e794d9');
INSERT INTO "bike_entries" VALUES(1,3,'2026-05-01T08:03:00.000000Z','setting','{"format": 1, "kind": "setting", "observation": "plug-gap-reading", "reading": {"value": 0.75, "unit": "mm"}, "on": "2026-05-01", "baseline": true, "note": ""}','b0fa51cb1eb809e538c471903cf26355');
INSERT INTO "bike_entries" VALUES(1,4,'2026-05-01T08:06:00.000000Z','ride','{"format": 1, "kind": "ride", "on": "2026-05-01", "hours": 2.0, "new_meter": false, "note": ""}','455b63111e86af89b58500f8dbd1a153');
CREATE TABLE bikes (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	name_key TEXT NOT NULL, 
	archived INTEGER NOT NULL, 
	made_at TEXT NOT NULL, 
	changed_at TEXT NOT NULL, entries INTEGER DEFAULT '0' NOT NULL, head TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (name_key)
);
INSERT INTO "bikes" VALUES(1,'Old mower (invented)','old mower (invented)',0,'2026-05-01T08:03:00.000000Z','2026-05-01T08:06:00.000000Z',4,'455b63111e86af89b58500f8dbd1a153');
CREATE TABLE case_entries (
	case_id INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	body TEXT NOT NULL, chain TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (case_id, seq), 
	FOREIGN KEY(case_id) REFERENCES cases (id)
);
INSERT INTO "case_entries" VALUES(1,1,'2026-05-01T08:09:00.000000Z','started','{"format": 1, "kind": "started", "pack": "mower", "pack_version": "1", "machine": {"size": "large"}, "targets": {}}','f3fa992472db6db3ff520c4d916857f6');
INSERT INTO "case_entries" VALUES(1,2,'2026-05-01T08:09:00.000000Z','complained','{"format": 1, "kind": "complained", "complaint": "no-start"}','42d4a46105441060cf544d8148cf3479');
INSERT INTO "case_entries" VALUES(1,3,'2026-05-01T08:12:00.000000Z','answered','{"format": 1, "kind": "answered", "observation": "tank-look", "state": "empty", "cannot_here": false}','16fcafd52f25a7516f459ca65798d830');
INSERT INTO "case_entries" VALUES(1,4,'2026-05-01T08:15:00.000000Z','taken-back','{"format": 1, "kind": "taken-back", "count": 1}','9796754155fa5e25950f9a0f348b7b5b');
INSERT INTO "case_entries" VALUES(1,5,'2026-05-01T08:18:00.000000Z','answered','{"format": 1, "kind": "answered", "observation": "tank-look", "state": "stale", "cannot_here": false}','7b20f69a208a7c19de90174d467fd695');
INSERT INTO "case_entries" VALUES(1,6,'2026-05-01T08:21:00.000000Z','forecast','{"format": 1, "kind": "forecast", "chances": {"stale-fuel": 0.937268, "plug-worn": 0.098745, "carburettor-gummed": 0.053333, "no-fuel": 0.000996, "blade-bent": 0.0352, "heights-wrong": 0.026129}, "learned": false}','4a81daa3e424606e4bf8d82d447046e6');
INSERT INTO "case_entries" VALUES(1,7,'2026-05-01T08:21:00.000000Z','corrected','{"format": 1, "kind": "corrected", "correction": "fill-up"}','0123144e1362ce93cccb5a123d3126a5');
INSERT INTO "case_entries" VALUES(1,8,'2026-05-01T08:24:00.000000Z','rode','{"format": 1, "kind": "rode", "report": "gone"}','39fde01e68c66c94014bdaed72326a09');
INSERT INTO "case_entries" VALUES(1,9,'2026-05-01T08:30:00.000000Z','closed','{"format": 1, "kind": "closed", "outcome": "proven", "why": "One thing was put right, and the ride after it: gone.", "correction": "fill-up", "cause": "stale-fuel"}','f227f14d1225b2dcfa1198e15f0061a2');
INSERT INTO "case_entries" VALUES(2,1,'2026-05-01T08:33:00.000000Z','started','{"format": 1, "kind": "started", "pack": "mower", "pack_version": "1", "machine": {}, "targets": {}}','c66c8bafde602372062926a2284668a9');
INSERT INTO "case_entries" VALUES(2,2,'2026-05-01T08:33:00.000000Z','complained','{"format": 1, "kind": "complained", "complaint": "vibration", "place": "deck"}','13f6ad9a7d435beb1e9551c102088be0');
INSERT INTO "case_entries" VALUES(2,3,'2026-05-01T08:36:00.000000Z','answered','{"format": 1, "kind": "answered", "observation": "hit-a-stone", "state": "yes", "cannot_here": false}','77d6a8d3b68893c122894c2531bc78c8');
INSERT INTO "case_entries" VALUES(2,4,'2026-05-01T08:39:00.000000Z','noted','{"format": 1, "kind": "noted", "text": "quittance % of ümlaut"}','88f50e2ea628abdf22a2fe5befa6a67d');
CREATE TABLE cases (
	id INTEGER NOT NULL, 
	bike_id INTEGER, 
	title TEXT NOT NULL, 
	complaints TEXT NOT NULL, 
	state TEXT NOT NULL, 
	outcome VARCHAR(20), 
	pack TEXT NOT NULL, 
	opened_at TEXT NOT NULL, 
	changed_at TEXT NOT NULL, search TEXT DEFAULT '' NOT NULL, cause TEXT, correction TEXT, entries INTEGER DEFAULT '0' NOT NULL, head TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(bike_id) REFERENCES bikes (id)
);
INSERT INTO "cases" VALUES(1,1,'Will not start','no-start','closed','proven','mower','2026-05-01T08:09:00.000000Z','2026-05-01T08:30:00.000000Z','will not start | old mower (invented) | one thing was put right, and the ride after it: gone. | tank-look | fill with fresh fuel | stale fuel','stale-fuel','fill-up',9,'f227f14d1225b2dcfa1198e15f0061a2');
INSERT INTO "cases" VALUES(2,NULL,'Shakes (deck)','vibration/deck','open',NULL,'mower','2026-05-01T08:33:00.000000Z','2026-05-01T08:39:00.000000Z','shakes (deck) | hit-a-stone | quittance % of ümlaut',NULL,NULL,4,'88f50e2ea628abdf22a2fe5befa6a67d');
CREATE TABLE lessons (
	case_id INTEGER NOT NULL, 
	pack TEXT NOT NULL, 
	cause TEXT NOT NULL, 
	traits TEXT NOT NULL, 
	states TEXT NOT NULL, 
	chances TEXT NOT NULL, 
	at TEXT NOT NULL, shown_by TEXT, left_out INTEGER DEFAULT '0' NOT NULL, 
	PRIMARY KEY (case_id), 
	FOREIGN KEY(case_id) REFERENCES cases (id)
);
INSERT INTO "lessons" VALUES(1,'mower','stale-fuel','{"engine": "petrol", "size": "large"}','{"tank-look": "stale"}','{"stale-fuel": 0.937268, "plug-worn": 0.098745, "carburettor-gummed": 0.053333, "no-fuel": 0.000996, "blade-bent": 0.0352, "heights-wrong": 0.026129}','2026-05-01T08:27:00.000000Z',NULL,0);
CREATE TABLE shop (
	"key" VARCHAR(60) NOT NULL, 
	value TEXT NOT NULL, 
	PRIMARY KEY ("key")
);
CREATE TABLE trainee_entries (
	trainee_id INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	body TEXT NOT NULL, chain TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (trainee_id, seq), 
	FOREIGN KEY(trainee_id) REFERENCES trainees (id)
);
INSERT INTO "trainee_entries" VALUES(1,1,'2026-11-20T09:03:30.000000Z','unit-opened','{"format": 1, "kind": "unit-opened", "pack": "mower", "unit": "look"}','63fc35ee192b6cf1bd6f7ba0d955ea62');
INSERT INTO "trainee_entries" VALUES(1,2,'2026-11-20T09:03:30.000000Z','unit-opened','{"format": 1, "kind": "unit-opened", "pack": "mower", "unit": "ride"}','af75829469012ca1ef96ea496dfa7dd7');
CREATE TABLE trainees (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	name_key TEXT NOT NULL, 
	archived INTEGER NOT NULL, 
	made_at TEXT NOT NULL, 
	changed_at TEXT NOT NULL, entries INTEGER DEFAULT '0' NOT NULL, head TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (name_key)
);
INSERT INTO "trainees" VALUES(1,'Toni Example (INVENTED)','toni example (invented)',0,'2026-11-20T09:01:00.000000Z','2026-11-20T09:03:30.000000Z',2,'af75829469012ca1ef96ea496dfa7dd7');
CREATE INDEX cases_by_bike ON cases (bike_id);
CREATE INDEX cases_by_change ON cases (changed_at);
CREATE INDEX lessons_by_pack ON lessons (pack, at);
CREATE INDEX attempts_by_trainee ON attempts (trainee_id);
COMMIT;
