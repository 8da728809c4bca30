using System.Text.Json;
using System.Text.RegularExpressions;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Cli.Tests.Runs;

/// <summary>What a lock spares, what it notices and what it refuses, as the shell sees it.</summary>
public sealed class LockTests : IDisposable
{
    private const string Plain = """
        { "format": 1, "title": "Low Lantern",
          "stems": { "kick": { "file": "kick.wav" }, "bass": { "file": "bass.wav" } },
          "anchor": { "stem": "kick", "frequencyHz": "measure" },
          "nodes": {
            "room": { "type": "keyedCut", "in": "bass", "frequencyHz": "anchor", "depthDb": 9 },
            "mix": { "type": "mix", "in": ["kick", "room"], "gainDb": 6 } },
          "outputs": { "mix": { "in": "mix", "file": "mix.wav", "encoding": "pcm16", "measure": true }, "lows": { "in": "room", "file": "parts/lows.wav" } },
          "expect": [{ "measure": "samplePeakDbfs", "of": "mix", "atMost": -6, "why": "room for the master" }] }
        """;

    private readonly TempFolder _folder = new();

    public LockTests()
    {
        WaveFile.Write(_folder["kick.wav"], PlayedSong.Kick(52, 0.6));
        WaveFile.Write(_folder["bass.wav"], PlayedSong.Bass(0.4, 52, 62, 47));
        Graph = _folder.Write("song.json", Plain);
    }

    public void Dispose() => _folder.Dispose();

    private string Graph { get; }

    private string Lock => _folder["song.lock.json"];

    private CommandRun Render(params string[] options) => CommandRun.Of(["render", Graph, "--out", _folder["out"], .. options]).Without(_folder.Path);

    private (CommandRun Run, CountedFiles Files) Counted(params string[] options)
    {
        var files = new CountedFiles();
        return (CommandRun.Of(files, CancellationToken.None, ["render", Graph, "--out", _folder["out"], .. options]).Without(_folder.Path), files);
    }

    private void AssertNothingRendered(params string[] options)
    {
        var (run, files) = Counted(options);
        Assert.Contains("Nothing had to be rendered", run.Out, StringComparison.Ordinal);
        Assert.Equal(0, files.Created);
    }

    private void AssertRendered(params string[] options)
    {
        var (run, files) = Counted(options);
        Assert.DoesNotContain("Nothing had to be rendered", run.Out, StringComparison.Ordinal);
        Assert.Equal(2, files.Created);
    }

    private void Edit(string from, string to)
    {
        Assert.Contains(from, Plain, StringComparison.Ordinal);
        _folder.Write("song.json", Plain.Replace(from, to, StringComparison.Ordinal));
    }

    private Dictionary<string, byte[]> Outputs() => new[] { "out/mix.wav", "out/parts/lows.wav" }.ToDictionary(name => name, name => File.ReadAllBytes(_folder[name]));

    [Fact]
    public void ASecondRenderOpensNoStemAndTellsTheSameWithTheSameExitCode()
    {
        var first = Render();
        Assert.Equal(1, first.ExitCode); // the gate fails
        Assert.Contains("RG501", first.Error, StringComparison.Ordinal);
        Assert.Contains("RG405: warning", first.Error, StringComparison.Ordinal);

        var (second, files) = Counted();
        Assert.Equal((0, 0), (files.Opened, files.Created));
        Assert.Equal((first.ExitCode, Sorted(first.Error)), (second.ExitCode, Sorted(second.Error)));
        Assert.Equal(
            first.Out.Replace("  wrote        ", "  is there     ", StringComparison.Ordinal).Replace("Low Lantern\n", "Low Lantern\n  Nothing had to be rendered: graph, stems and outputs are as the lock has them.\n", StringComparison.Ordinal).Replace(" ", "", StringComparison.Ordinal),
            second.Out.Replace(" ", "", StringComparison.Ordinal));

        static string Sorted(string text) => string.Join('\n', text.Split('\n').Order(StringComparer.Ordinal));
    }

    [Fact]
    public void JsonOfBothDiffersInItsStatusOnly()
    {
        var (first, second) = (Render("--json"), Render("--json"));
        Assert.Contains("\"status\": \"rendered\"", first.Out, StringComparison.Ordinal);
        Assert.Equal(first.Out.Replace("\"status\": \"rendered\"", "\"status\": \"upToDate\"", StringComparison.Ordinal), second.Out);
        using var json = JsonDocument.Parse(second.Out);
        Assert.False(json.RootElement.GetProperty("ok").GetBoolean());
    }

    [Fact]
    public void TimeStampsPlayNoPartAndOneSampleDoes()
    {
        Render();
        var later = new DateTime(2031, 1, 1, 0, 0, 0, DateTimeKind.Utc);
        foreach (var name in (string[])["kick.wav", "bass.wav", "song.json", "out/mix.wav"])
            File.SetLastWriteTimeUtc(_folder[name], later);
        AssertNothingRendered();

        var stamp = File.GetLastWriteTimeUtc(_folder["bass.wav"]);
        var bytes = File.ReadAllBytes(_folder["bass.wav"]);
        bytes[^1] ^= 1;
        File.WriteAllBytes(_folder["bass.wav"], bytes);
        File.SetLastWriteTimeUtc(_folder["bass.wav"], stamp);
        AssertRendered();
        AssertNothingRendered();
    }

    [Fact]
    public void OutputsThatAreGoneOrWereAlteredAreMadeAgainWithTheSameBytes()
    {
        Render();
        var expected = Outputs();
        File.Delete(_folder["out/parts/lows.wav"]);
        AssertRendered();
        Assert.Equal(expected, Outputs());

        var altered = File.ReadAllBytes(_folder["out/mix.wav"]);
        altered[1000] ^= 1;
        File.WriteAllBytes(_folder["out/mix.wav"], altered);
        AssertRendered();
        Assert.Equal(expected, Outputs());
        AssertRendered("--again");
        Assert.Equal(expected, Outputs());
    }

    [Fact]
    public void AParameterIsAReasonToRenderWordsAreNot()
    {
        Render();
        Edit("\"title\": \"Low Lantern\"", "// renamed\n  \"title\": \"High Lantern\"");
        AssertNothingRendered();
        AssertNothingRendered(); // and the lock now knows the text
        Edit("\"depthDb\": 9", "\"depthDb\": 7");
        AssertRendered();
        AssertNothingRendered();
    }

    [Fact]
    public void AGateIsJudgedAnewByTheMeasuresTakenThen()
    {
        Assert.Equal(1, Render().ExitCode);
        Edit("\"atMost\": -6", "\"atMost\": 12");
        var (run, files) = Counted();
        Assert.Equal((0, 0), (run.ExitCode, files.Created));
        Assert.Contains("holds  samplePeakDbfs of output \"mix\"", run.Out, StringComparison.Ordinal);
        Assert.DoesNotContain("RG501", run.Error, StringComparison.Ordinal);
        Edit("\"atMost\": -6", "\"atMost\": -5");
        Assert.Equal(1, Render().ExitCode);
    }

    [Fact]
    public void MeasuresOfOnePointInSeveralWaysAreToldApart()
    {
        Edit("{ \"measure\": \"samplePeakDbfs\", \"of\": \"mix\", \"atMost\": -6, \"why\": \"room for the master\" }", """
            { "measure": "samplePeakDbfs", "of": "mix", "atMost": 9 }, { "measure": "samplePeakDbfs", "of": "mix", "atMost": 9, "during": [0, 1] },
            { "measure": "samplePeakDbfs", "of": "mix", "atMost": 9, "during": "hits" }, { "measure": "samplePeakDbfs", "of": "mix", "atMost": 9, "against": "untreated" }
            """);
        var (first, second) = (Render("--json"), Render("--json"));
        Assert.Equal((0, ""), (first.ExitCode, second.Error.Replace(first.Error, "", StringComparison.Ordinal)));
        Assert.Equal(first.Out.Replace("\"status\": \"rendered\"", "\"status\": \"upToDate\"", StringComparison.Ordinal), second.Out);
    }

    [Fact]
    public void HitsThatOnlyAMeasureWantsAreKeptToo()
    {
        const string Measured = """{ "measure": "lowEndDbfs", "of": "room", "atMost": 0, "during": "hits" }""";
        Edit("\"frequencyHz\": \"measure\" },", "\"frequencyHz\": 52 },");
        _folder.Write("song.json", File.ReadAllText(Graph).Replace("{ \"measure\": \"samplePeakDbfs\"", Measured + ", { \"measure\": \"samplePeakDbfs\"", StringComparison.Ordinal));
        var (first, second) = (Render("--json"), Render("--json"));
        Assert.Contains("\"lowEndDbfs\"", first.Out, StringComparison.Ordinal);
        Assert.Equal(first.Out.Replace("\"status\": \"rendered\"", "\"status\": \"upToDate\"", StringComparison.Ordinal), second.Out);
        Assert.Contains("The anchor is not measured again", CommandRun.Of("explain", Graph, "--out", _folder["out"]).Out, StringComparison.Ordinal);
        var written = File.ReadAllText(Lock);
        AssertRendered("--again");
        Assert.Equal(written, File.ReadAllText(Lock));
    }

    [Fact]
    public void TheAnchorIsTakenFromTheLockWithTheBytesOfMeasuringItAndMeasureListensAnew()
    {
        Render();
        var (expected, written) = (Outputs(), File.ReadAllText(Lock));
        Assert.Contains("\"frequencyHz\": 52,", written, StringComparison.Ordinal);
        AssertRendered("--again"); // by the lock
        Assert.Equal(expected, Outputs());
        Assert.Equal(written, File.ReadAllText(Lock));
        AssertNothingRendered("--measure"); // listens, and finds the same
        AssertRendered("--measure", "--again");
        Assert.Equal(expected, Outputs());
        Assert.Equal(written, File.ReadAllText(Lock));

        // A lock that says otherwise steers the render, until the anchor is measured anew: that shows as a difference.
        File.WriteAllText(Lock, written.Replace("\"frequencyHz\": 52,\n    \"spreadHz\"", "\"frequencyHz\": 60,\n    \"spreadHz\"", StringComparison.Ordinal));
        var run = Render();
        Assert.Contains("kick at 60 Hz", run.Out, StringComparison.Ordinal);
        Assert.NotEqual(expected["out/mix.wav"], Outputs()["out/mix.wav"]);
        var plan = CommandRun.Of("plan", Graph);
        Assert.Contains("kick at 60 Hz", plan.Out, StringComparison.Ordinal);
        Assert.Contains("kick at 60 Hz", CommandRun.Of("render", Graph, "--out", _folder["part"], "--to", "1").Out, StringComparison.Ordinal);
        AssertRendered("--measure");
        Assert.Equal(expected, Outputs());
        Assert.Equal(written, File.ReadAllText(Lock));
    }

    [Fact]
    public void AnAnchorWhoseStemChangedIsMeasuredAnew()
    {
        Render();
        WaveFile.Write(_folder["kick.wav"], PlayedSong.Kick(58, 0.6));
        Assert.Contains("kick at 58 Hz", Render().Out, StringComparison.Ordinal);
    }

    [Fact]
    public void LockedRefusesEveryDifferenceByNameAndWritesNothing()
    {
        Assert.Contains("song.lock.json: RG502: there is no lock", Render("--locked").Error, StringComparison.Ordinal);
        Assert.False(File.Exists(Lock));
        Assert.False(Directory.Exists(_folder["out"]));

        Render();
        var (expected, written) = (Outputs(), File.ReadAllBytes(Lock));
        File.Delete(_folder["out/mix.wav"]);
        AssertRendered("--locked"); // an output is no difference: it can be made
        Assert.Equal(expected, Outputs());
        AssertNothingRendered("--locked");

        Edit("\"depthDb\": 9", "\"depthDb\": 7");
        WaveFile.Write(_folder["bass.wav"], PlayedSong.Bass(0.4, 52, 62));
        var (run, files) = Counted("--locked");
        Assert.Equal((1, 0), (run.ExitCode, files.Created));
        Assert.Equal(
            [
                "song.lock.json: RG502: input bass.wav has changed. Put back what was, or render without --locked, which writes the lock anew.",
                "song.lock.json: RG502: node \"room\": depthDb was 9, and is 7 now. Put back what was, or render without --locked, which writes the lock anew.",
            ],
            run.Error.TrimEnd('\n').Split('\n').Order(StringComparer.Ordinal));
        Assert.Equal(expected, Outputs());
        Assert.Equal(written, File.ReadAllBytes(Lock));
        Assert.Contains("\"ok\": false", Render("--locked", "--json").Out, StringComparison.Ordinal);
        Assert.Contains("Leave out --locked", Render("--locked", "--to", "1").Error, StringComparison.Ordinal);
    }

    [Fact]
    public void LockedNoticesBytesThatCameOutOtherwise()
    {
        Render();
        var text = File.ReadAllText(Lock);
        var hash = Regex.Match(text, "\"output\": \"mix\",\\s+\"contentXxh128\": \"(\\w{32})\"").Groups[1].Value;
        File.WriteAllText(Lock, text.Replace(hash, new string('0', 32), StringComparison.Ordinal));
        var run = Render("--locked");
        Assert.Contains("mix.wav: RG502: it came out otherwise than the lock has it", run.Error, StringComparison.Ordinal);
        Assert.Equal(1, run.ExitCode);
    }

    [Fact]
    public void ALockIsTheSameFromAnyNumberOfThreadsAndIntoAnyFolder()
    {
        Render("--threads", "1");
        var written = File.ReadAllBytes(Lock);
        File.Delete(Lock);
        CommandRun.Of("render", Graph, "--out", _folder["elsewhere/than that"], "--threads", "3", "--block-frames", "777");
        Assert.Equal(written, File.ReadAllBytes(Lock));
        Assert.DoesNotContain(_folder.Path, File.ReadAllText(Lock), StringComparison.Ordinal);
    }

    [Fact]
    public void PartsAndSinglePointsNeitherWriteALockNorTakeOutputsFromOne()
    {
        CommandRun.Of("render", Graph, "--out", _folder["out"], "--from", "1", "--to", "2");
        CommandRun.Of("render", Graph, "--out", _folder["out"], "--only", "room");
        Assert.False(File.Exists(Lock));
        Render();
        var written = File.ReadAllBytes(Lock);
        var part = CommandRun.Of("render", Graph, "--out", _folder["out"], "--from", "1", "--to", "2");
        Assert.DoesNotContain("Nothing had to be rendered", part.Out, StringComparison.Ordinal);
        Assert.Equal(written, File.ReadAllBytes(Lock));
    }

    [Fact]
    public void ALockOfAnotherFormatIsNeitherUsedNorReplaced()
    {
        const string Newer = "{ \"lockFormat\": 2 }";
        File.WriteAllText(Lock, Newer);
        var (run, files) = Counted();
        Assert.Equal((3, 0), (run.ExitCode, files.Created));
        Assert.Contains("RG314: the lock is of format 2, but this version reads format 1 only", run.Error, StringComparison.Ordinal);
        Assert.Equal(Newer, File.ReadAllText(Lock));
    }

    [Fact]
    public void ALockThatCannotBeWrittenIsAWarningAndTheOutputsAreThere()
    {
        Directory.CreateDirectory(Lock);
        Edit("\"atMost\": -6", "\"atMost\": 12");
        var run = Render();
        Assert.Equal(0, run.ExitCode);
        Assert.Contains("song.lock.json: RG407: warning: the outputs are written, but the lock is not", run.Error, StringComparison.Ordinal);
        Assert.True(File.Exists(_folder["out/mix.wav"]));
        Assert.DoesNotContain(_folder.Names, name => name.EndsWith(".part", StringComparison.Ordinal));
    }

    [Fact]
    public void AnUnfinishedLockOfAKilledRenderIsNeverTakenForOneAndIsGoneAfterTheNext()
    {
        File.WriteAllText(Lock + ".part", "{ \"lockFormat\": 1, \"engi");
        AssertRendered();
        Assert.False(File.Exists(Lock + ".part"));
        AssertNothingRendered();
    }

    [Fact]
    public void AFaultyGraphIsToldWholeWhateverItsLockKnows()
    {
        Render();
        Edit("\"depthDb\": 9", "\"depthDb\": 99, \"depht\": 3");
        var (run, files) = Counted();
        Assert.Equal((2, 0), (run.ExitCode, files.Created));
        Assert.Contains("RG203", run.Error, StringComparison.Ordinal);
        Assert.Contains("RG103", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void StemsOutsideAreRefusedWhateverTheLockKnows()
    {
        Directory.CreateDirectory(_folder["in"]);
        var graph = _folder.Write("in/song.json", Plain.Replace("\"bass.wav\"", "\"../bass.wav\"", StringComparison.Ordinal).Replace("\"kick.wav\"", "\"../kick.wav\"", StringComparison.Ordinal));
        Assert.Equal(1, CommandRun.Of("render", graph, "--allow-outside").ExitCode);
        Assert.Contains("Nothing had to be rendered", CommandRun.Of("render", graph, "--allow-outside").Out, StringComparison.Ordinal);
        var run = CommandRun.Of("render", graph);
        Assert.Equal(2, run.ExitCode);
        Assert.Contains("RG212", run.Error, StringComparison.Ordinal);
    }
}
