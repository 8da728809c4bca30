using System.Diagnostics;
using System.Globalization;
using RenderGraph.Fuzz;

// Feeds mutants of right files to all that takes files from anywhere, and looks for crashes, hangs, waste of memory, and success that nothing explains.
//
//   dotnet run --project tests/Fuzz -c Release -- [--inputs N] [--from N] [--seed N] [--target audio|graph|recipe] [--threads N] [--keep FOLDER]
//
// Input N is the same in every run with the same seed and corpus: --from N --inputs 1 has it again. What failed is kept in the folder. Exit code 0 if nothing did.
const double MostSeconds = 5;
const long MostAllocatedBytes = 300L << 20;

var inputs = Number("--inputs", 50_000);
var from = Number("--from", 0);
var seed = Number("--seed", 1);
var threads = (int)Number("--threads", Environment.ProcessorCount);
var only = Text("--target");
var keep = Text("--keep") ?? Path.Combine(Directory.GetCurrentDirectory(), "fuzz-failures");
var corpus = Path.Combine(AppContext.BaseDirectory, "Corpus");

var failures = new List<string>();
var outcomes = new long[Enum.GetValues<Outcome>().Length];
var (next, done, mostBytes, mostMs) = (from - 1, 0L, 0L, 0L);
var gate = new Lock();
var clock = Stopwatch.StartNew();
var workers = Enumerable.Range(0, threads).Select(_ => new Worker()).ToList();
var running = workers.ConvertAll(worker =>
{
    var thread = new Thread(() => Work(worker), 16 << 20) { IsBackground = true };
    thread.Start();
    return thread;
});

// A hang cannot be left by what hangs: somebody else looks.
while (running.Exists(thread => thread.IsAlive))
{
    Thread.Sleep(50);
    foreach (var worker in workers)
    {
        if (worker.SinceMs is { } since && clock.ElapsedMilliseconds - since > MostSeconds * 1000)
        {
            Console.WriteLine($"input {worker.Number} ({worker.Target} from {worker.Source}) hangs: more than {MostSeconds} s");
            return 1;
        }
    }
}

Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
    $"{done:N0} inputs in {clock.Elapsed.TotalSeconds:0} s: {outcomes[0]:N0} refused, {outcomes[1]:N0} told about, {outcomes[2]:N0} taken; longest {mostMs} ms, most allocated {mostBytes / 1048576.0:0} MB"));
Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{done - failures.Count} passed, {failures.Count} failed"));
return failures.Count == 0 ? 0 : 1;

void Work(Worker worker)
{
    var folder = Directory.CreateTempSubdirectory("rendergraph-fuzz-").FullName;
    ITarget[] targets = [new AudioTarget(Path.Combine(corpus, "audio")), new GraphTarget(Path.Combine(corpus, "graphs")), new RecipeTarget(Path.Combine(corpus, "recipes"))];
    if (only is not null)
        targets = [.. targets.Where(target => target.Name == only)];
    while (true)
    {
        var number = Interlocked.Increment(ref next);
        if (number >= from + inputs || failures.Count >= 50)
            break;
        var dice = new Dice(seed, number);
        var target = dice.Of(targets);
        var index = dice.Below(target.Corpus.Count);
        var (mutant, isOnlyCut) = Mutator.Mutate(target.Corpus, index, target.IsText, dice);
        (worker.Number, worker.Target, worker.Source) = (number, target.Name, target.Names[index]);
        var before = GC.GetAllocatedBytesForCurrentThread();
        var started = clock.ElapsedMilliseconds;
        worker.SinceMs = started;
        try
        {
            var outcome = target.Run(folder, mutant, index, isOnlyCut, dice);
            Interlocked.Increment(ref outcomes[(int)outcome]);
        }
        catch (Exception failure)
        {
            Fail(worker, mutant, failure is BadOutcomeException ? failure.Message : failure.ToString());
        }

        worker.SinceMs = null;
        var (allocated, ms) = (GC.GetAllocatedBytesForCurrentThread() - before, clock.ElapsedMilliseconds - started);
        if (allocated > MostAllocatedBytes)
            Fail(worker, mutant, $"{allocated:N0} bytes were allocated");
        lock (gate)
        {
            done++;
            (mostBytes, mostMs) = (Math.Max(mostBytes, allocated), Math.Max(mostMs, ms));
        }
    }

    Directory.Delete(folder, recursive: true);
}

void Fail(Worker worker, byte[] mutant, string what)
{
    lock (gate)
    {
        failures.Add(what);
        Directory.CreateDirectory(keep);
        File.WriteAllBytes(Path.Combine(keep, $"{worker.Target}-{worker.Number}-{worker.Source}"), mutant);
        Console.WriteLine($"input {worker.Number} ({worker.Target} from {worker.Source}): {what}");
    }
}

long Number(string name, long otherwise) => Text(name) is { } text ? long.Parse(text, CultureInfo.InvariantCulture) : otherwise;

string? Text(string name)
{
    var at = Array.IndexOf(args, name);
    return at >= 0 && at + 1 < args.Length ? args[at + 1] : null;
}

/// <summary>What a thread is at.</summary>
internal sealed class Worker
{
    public long Number { get; set; }

    public string Target { get; set; } = "";

    public string Source { get; set; } = "";

    /// <summary>When it began, or null between inputs.</summary>
    public long? SinceMs { get; set; }
}
