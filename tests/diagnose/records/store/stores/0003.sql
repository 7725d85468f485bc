BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0003');
CREATE TABLE attempt_entries (
	attempt_id INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	body TEXT NOT NULL, 
	PRIMARY KEY (attempt_id, seq), 
	FOREIGN KEY(attempt_id) REFERENCES attempts (id)
);
INSERT INTO "attempt_entries" VALUES(1,1,'2026-11-20T09:01:30.000000Z','begun','{"format": 1, "kind": "begun", "pack_version": "1", "scenario": "4::fuel", "lesson": "dead-1", "hints": true, "coach": false, "words": "It is as dead as a stone."}');
INSERT INTO "attempt_entries" VALUES(1,2,'2026-11-20T09:02:00.000000Z','stepped','{"format": 1, "kind": "stepped", "step": {"move": {"do": "correct", "correction": "fill-up", "causes": ["stale-fuel"]}, "cautions_read": true, "hints": 0}, "came": ""}');
INSERT INTO "attempt_entries" VALUES(1,3,'2026-11-20T09:02:30.000000Z','stepped','{"format": 1, "kind": "stepped", "step": {"move": {"do": "ride"}, "cautions_read": true, "hints": 0}, "came": "gone"}');
INSERT INTO "attempt_entries" VALUES(1,4,'2026-11-20T09:03:00.000000Z','stepped','{"format": 1, "kind": "stepped", "step": {"move": {"do": "hand-back"}, "cautions_read": true, "hints": 0}, "came": ""}');
INSERT INTO "attempt_entries" VALUES(1,5,'2026-11-20T09:03:00.000000Z','finished','{"format": 1, "kind": "finished", "document": {"format": 1, "pack": {"id": "mower", "version": "1"}, "scenario": {"id": "4::fuel", "seed": 4, "level": null, "theme": "fuel", "complaints": ["no-start"], "machine": {"engine": "petrol", "size": "small"}, "title": "Dead again", "teaches": "Look into the tank first."}, "finished": true, "score": {"total": 100.0, "passed": true, "failed": "", "minutes": 10.0, "cost_ratio": 1.0, "hints": 0, "hint_points": 0, "true_causes": ["stale-fuel"], "behind": ["stale-fuel"], "named": ["stale-fuel"], "measures": [{"id": "right-cause", "title": "right-cause", "value": 1.0, "share": 1.0, "points": 20.0, "out_of": 20.0, "meaning": "invented for the tests", "source": ["made-up"], "steps": []}, {"id": "proven", "title": "proven", "value": 1.0, "share": 1.0, "points": 15.0, "out_of": 15.0, "meaning": "invented for the tests", "source": ["made-up"], "steps": []}, {"id": "expected-cost", "title": "expected-cost", "value": 1.0, "share": 1.0, "points": 25.0, "out_of": 25.0, "meaning": "invented for the tests", "source": ["made-up"], "steps": []}, {"id": "order", "title": "order", "value": 1.0, "share": 1.0, "points": 15.0, "out_of": 15.0, "meaning": "invented for the tests", "source": ["made-up"], "steps": []}, {"id": "information", "title": "information", "value": 1.0, "share": 1.0, "points": 10.0, "out_of": 10.0, "meaning": "invented for the tests", "source": ["made-up"], "steps": []}, {"id": "closure", "title": "closure", "value": 1.0, "share": 1.0, "points": 10.0, "out_of": 10.0, "meaning": "invented for the tests", "source": ["made-up"], "steps": []}, {"id": "cautions", "title": "cautions", "value": 1.0, "share": 1.0, "points": 5.0, "out_of": 5.0, "meaning": "invented for the tests", "source": ["made-up"], "steps": []}]}, "review": [{"number": 1, "move": {"do": "correct", "correction": "fill-up", "causes": ["stale-fuel"]}, "did": "Fill with fresh fuel (for: Stale fuel)", "result": "", "minutes": 5.0, "leading": [{"cause": "stale-fuel", "probability": 0.552840335661622}, {"cause": "no-fuel", "probability": 0.2494975185231893}, {"cause": "carburettor-gummed", "probability": 0.21078661077356317}], "advised": {"kind": "correct", "target": "fill-up", "text": "Fill with fresh fuel", "why": "80% likely to be needed for 5 minutes of work, and more checking would not pay.", "constraint": ""}, "chosen_cost": 36.072582607263065, "advised_cost": 36.072582607263065, "loss": 0.0, "faults": [], "better": ""}, {"number": 2, "move": {"do": "ride"}, "did": "Sent for a ride", "result": "gone", "minutes": 5.0, "leading": [{"cause": "carburettor-gummed", "probability": 0.21078661077356317}, {"cause": "plug-worn", "probability": 0.12565151008349598}], "advised": {"kind": "confirm", "target": "fill-up", "text": "Confirming ride", "why": "One change at a time: ride it now, before anything else is touched.", "constraint": "one change at a time"}, "chosen_cost": 115.00257439831861, "advised_cost": 115.00257439831861, "loss": 0.0, "faults": [], "better": ""}, {"number": 3, "move": {"do": "hand-back"}, "did": "Handed back to the customer", "result": "", "minutes": 0.0, "leading": [{"cause": "plug-worn", "probability": 0.017053105162805345}, {"cause": "carburettor-gummed", "probability": 0.011157266850661578}], "advised": {"kind": "close", "target": "", "text": "Proven: close the case", "why": "The confirming ride proved the correction.", "constraint": ""}, "chosen_cost": 0.0, "advised_cost": 0.0, "loss": 0.0, "faults": [], "better": ""}], "log": [{"move": {"do": "correct", "correction": "fill-up", "causes": ["stale-fuel"]}, "cautions_read": true, "hints": 0}, {"move": {"do": "ride"}, "cautions_read": true, "hints": 0}, {"move": {"do": "hand-back"}, "cautions_read": true, "hints": 0}]}}');
INSERT INTO "attempt_entries" VALUES(2,1,'2026-11-20T09:04:00.000000Z','begun','{"format": 1, "kind": "begun", "pack_version": "1", "scenario": "10::fuel", "lesson": "dead-2", "hints": true, "coach": false, "words": ""}');
INSERT INTO "attempt_entries" VALUES(2,2,'2026-11-20T09:04:30.000000Z','hinted','{"format": 1, "kind": "hinted"}');
INSERT INTO "attempt_entries" VALUES(2,3,'2026-11-20T09:05:00.000000Z','stepped','{"format": 1, "kind": "stepped", "step": {"move": {"do": "observe", "observation": "tank-look"}, "cautions_read": false, "hints": 1}, "came": "Empty"}');
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
	changed_at TEXT NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(trainee_id) REFERENCES trainees (id)
);
INSERT INTO "attempts" VALUES(1,1,'mower','4::fuel','dead-1',NULL,'finished','{"total": 100.0, "passed": true, "failed": "", "minutes": 10.0, "cost_ratio": 1.0, "hints": 0, "measures": {"right-cause": 1.0, "proven": 1.0, "expected-cost": 1.0, "order": 1.0, "information": 1.0, "closure": 1.0, "cautions": 1.0}, "causes": ["stale-fuel"], "groups": ["fuel"], "named": ["stale-fuel"], "level": "", "theme": "fuel"}','2026-11-20T09:01:30.000000Z','2026-11-20T09:03:00.000000Z');
INSERT INTO "attempts" VALUES(2,1,'mower','10::fuel','dead-2',NULL,'open',NULL,'2026-11-20T09:04:00.000000Z','2026-11-20T09:05:00.000000Z');
CREATE TABLE bike_entries (
	bike_id INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	body TEXT NOT NULL, 
	PRIMARY KEY (bike_id, seq), 
	FOREIGN KEY(bike_id) REFERENCES bikes (id)
);
INSERT INTO "bike_entries" VALUES(1,1,'2026-05-01T08:03:00.000000Z','facts','{"format": 1, "kind": "facts", "traits": {"size": "large"}, "use": "lawn"}');
INSERT INTO "bike_entries" VALUES(1,2,'2026-05-01T08:03:00.000000Z','target','{"format": 1, "kind": "target", "spec": "plug-gap", "figure": {"value": 0.75, "unit": "mm"}, "read_in": "leaflet, page 3", "on": "2026-05-01"}');
INSERT INTO "bike_entries" VALUES(1,3,'2026-05-01T08:03:00.000000Z','setting','{"format": 1, "kind": "setting", "observation": "plug-gap-reading", "reading": {"value": 0.75, "unit": "mm"}, "on": "2026-05-01", "baseline": true, "note": ""}');
INSERT INTO "bike_entries" VALUES(1,4,'2026-05-01T08:06:00.000000Z','ride','{"format": 1, "kind": "ride", "on": "2026-05-01", "hours": 2.0, "new_meter": false, "note": ""}');
CREATE TABLE bikes (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	name_key TEXT NOT NULL, 
	archived INTEGER NOT NULL, 
	made_at TEXT NOT NULL, 
	changed_at TEXT NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (name_key)
);
INSERT INTO "bikes" VALUES(1,'Old mower (invented)','old mower (invented)',0,'2026-05-01T08:03:00.000000Z','2026-05-01T08:06:00.000000Z');
CREATE TABLE case_entries (
	case_id INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	body TEXT NOT NULL, 
	PRIMARY KEY (case_id, seq), 
	FOREIGN KEY(case_id) REFERENCES cases (id)
);
INSERT INTO "case_entries" VALUES(1,1,'2026-05-01T08:09:00.000000Z','started','{"format": 1, "kind": "started", "pack": "mower", "pack_version": "1", "machine": {"size": "large"}, "targets": {}}');
INSERT INTO "case_entries" VALUES(1,2,'2026-05-01T08:09:00.000000Z','complained','{"format": 1, "kind": "complained", "complaint": "no-start"}');
INSERT INTO "case_entries" VALUES(1,3,'2026-05-01T08:12:00.000000Z','answered','{"format": 1, "kind": "answered", "observation": "tank-look", "state": "empty", "cannot_here": false}');
INSERT INTO "case_entries" VALUES(1,4,'2026-05-01T08:15:00.000000Z','taken-back','{"format": 1, "kind": "taken-back", "count": 1}');
INSERT INTO "case_entries" VALUES(1,5,'2026-05-01T08:18:00.000000Z','answered','{"format": 1, "kind": "answered", "observation": "tank-look", "state": "stale", "cannot_here": false}');
INSERT INTO "case_entries" VALUES(1,6,'2026-05-01T08:21:00.000000Z','forecast','{"format": 1, "kind": "forecast", "chances": {"stale-fuel": 0.937268, "plug-worn": 0.098745, "carburettor-gummed": 0.053333, "no-fuel": 0.000996, "blade-bent": 0.0352, "heights-wrong": 0.026129}, "learned": false}');
INSERT INTO "case_entries" VALUES(1,7,'2026-05-01T08:21:00.000000Z','corrected','{"format": 1, "kind": "corrected", "correction": "fill-up"}');
INSERT INTO "case_entries" VALUES(1,8,'2026-05-01T08:24:00.000000Z','rode','{"format": 1, "kind": "rode", "report": "gone"}');
INSERT INTO "case_entries" VALUES(1,9,'2026-05-01T08:30:00.000000Z','closed','{"format": 1, "kind": "closed", "outcome": "proven", "why": "One thing was put right, and the ride after it: gone.", "correction": "fill-up", "cause": "stale-fuel"}');
INSERT INTO "case_entries" VALUES(2,1,'2026-05-01T08:33:00.000000Z','started','{"format": 1, "kind": "started", "pack": "mower", "pack_version": "1", "machine": {}, "targets": {}}');
INSERT INTO "case_entries" VALUES(2,2,'2026-05-01T08:33:00.000000Z','complained','{"format": 1, "kind": "complained", "complaint": "vibration", "place": "deck"}');
INSERT INTO "case_entries" VALUES(2,3,'2026-05-01T08:36:00.000000Z','answered','{"format": 1, "kind": "answered", "observation": "hit-a-stone", "state": "yes", "cannot_here": false}');
INSERT INTO "case_entries" VALUES(2,4,'2026-05-01T08:39:00.000000Z','noted','{"format": 1, "kind": "noted", "text": "quittance % of ümlaut"}');
CREATE TABLE cases (
	id INTEGER NOT NULL, 
	bike_id INTEGER, 
	title TEXT NOT NULL, 
	complaints TEXT NOT NULL, 
	state TEXT NOT NULL, 
	outcome VARCHAR(20), 
	pack TEXT NOT NULL, 
	opened_at TEXT NOT NULL, 
	changed_at TEXT NOT NULL, search TEXT DEFAULT '' NOT NULL, cause TEXT, correction TEXT, 
	PRIMARY KEY (id), 
	FOREIGN KEY(bike_id) REFERENCES bikes (id)
);
INSERT INTO "cases" VALUES(1,1,'Will not start','no-start','closed','proven','mower','2026-05-01T08:09:00.000000Z','2026-05-01T08:30:00.000000Z','will not start | old mower (invented) | one thing was put right, and the ride after it: gone. | tank-look | fill with fresh fuel | stale fuel','stale-fuel','fill-up');
INSERT INTO "cases" VALUES(2,NULL,'Shakes (deck)','vibration/deck','open',NULL,'mower','2026-05-01T08:33:00.000000Z','2026-05-01T08:39:00.000000Z','shakes (deck) | hit-a-stone | quittance % of ümlaut',NULL,NULL);
CREATE TABLE lessons (
	case_id INTEGER NOT NULL, 
	pack TEXT NOT NULL, 
	cause TEXT NOT NULL, 
	traits TEXT NOT NULL, 
	states TEXT NOT NULL, 
	chances TEXT NOT NULL, 
	at TEXT NOT NULL, 
	PRIMARY KEY (case_id), 
	FOREIGN KEY(case_id) REFERENCES cases (id)
);
INSERT INTO "lessons" VALUES(1,'mower','stale-fuel','{"engine": "petrol", "size": "large"}','{"tank-look": "stale"}','{"stale-fuel": 0.937268, "plug-worn": 0.098745, "carburettor-gummed": 0.053333, "no-fuel": 0.000996, "blade-bent": 0.0352, "heights-wrong": 0.026129}','2026-05-01T08:27:00.000000Z');
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
	body TEXT NOT NULL, 
	PRIMARY KEY (trainee_id, seq), 
	FOREIGN KEY(trainee_id) REFERENCES trainees (id)
);
INSERT INTO "trainee_entries" VALUES(1,1,'2026-11-20T09:03:30.000000Z','unit-opened','{"format": 1, "kind": "unit-opened", "pack": "mower", "unit": "look"}');
INSERT INTO "trainee_entries" VALUES(1,2,'2026-11-20T09:03:30.000000Z','unit-opened','{"format": 1, "kind": "unit-opened", "pack": "mower", "unit": "ride"}');
CREATE TABLE trainees (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	name_key TEXT NOT NULL, 
	archived INTEGER NOT NULL, 
	made_at TEXT NOT NULL, 
	changed_at TEXT NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (name_key)
);
INSERT INTO "trainees" VALUES(1,'Toni Example (INVENTED)','toni example (invented)',0,'2026-11-20T09:01:00.000000Z','2026-11-20T09:03:30.000000Z');
CREATE INDEX cases_by_bike ON cases (bike_id);
CREATE INDEX cases_by_change ON cases (changed_at);
CREATE INDEX lessons_by_pack ON lessons (pack, at);
CREATE INDEX attempts_by_trainee ON attempts (trainee_id);
COMMIT;
