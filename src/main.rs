fn main() {
    let p = std::env::args().nth(1).unwrap();
    let mut src = drybench::reader::Source::from_bytes(&p, &std::fs::read(&p).unwrap()).unwrap_or_else(|e| panic!("{}", drybench::reader::render(&e)));
    for a in std::env::args().skip(2) { src.set(&a).unwrap(); }
    let (sc, _rep) = drybench::scenario::Scenario::read(&src).unwrap_or_else(|e| panic!("{}", drybench::reader::render(&e)));
    let t = std::time::Instant::now();
    let run = drybench::run::simulate(&sc, drybench::run::Method::Rodas5p).unwrap_or_else(|e| panic!("{e}"));
    let dt = t.elapsed();
    println!("{:?} {:?}", dt, run.effort);
    for m in &run.merits { println!("{:26} {:?} {}", m.key, m.value, m.unit); }
    for l in [&run.water, &run.energy] {
        for r in &l.sources { println!("  + {:40} {:.4}", r.name, r.amount); }
        for r in &l.uses { println!("  - {:40} {:.4}", r.name, r.amount); }
        println!("   closure {:e}", l.closure_error);
    }
    println!("{:?}", run.warnings);
    let n = run.time_s.len();
    for c in &run.columns { println!("{:36} {:8.3} {:8.3} {:8.3} {:8.3}  {:?}", c.name, c.values[0], c.values[n/8], c.values[n/2], c.values[n-1], c.peak.map(|p| p.value)); }
}
