using System.Security.Cryptography;
using System.Text.Json;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Cli.Tests.Commands;

/// <summary><c>verify</c> and <c>explain</c>: both only look.</summary>
public sealed class VerifyTests : IDisposable
{
    private const string Plain = """
        { "format": 1, "title": "Low Lantern",
          "stems": { "kick": { "file": "kick.wav" }, "bass": { "file": "bass.wav" } },
          "anchor": { "stem": "kick", "frequencyHz": "measure" },
          "nodes": { "room": { "type": "keyedCut", "in": "bass", "frequencyHz": "anchor", "depthDb": 9 } },
          "outputs": { "room": { "in": "room", "file": "room.wav" }, "kick": { "in": "kick", "file": "kick-out.wav", "encoding": "float32" } } }
        """;

    private readonly TempFolder _folder = new();

    public VerifyTests()
    {
        WaveFile.Write(_folder["kick.wav"], PlayedSong.Kick(52, 0.6));
        WaveFile.Write(_folder["bass.wav"], PlayedSong.Bass(0.4, 52, 62, 47));
        _folder.Write("song.json", Plain);
    }

    public void Dispose() => _folder.Dispose();

    private CommandRun Run(string command, params string[] options) => CommandRun.Of([command, _folder["song.json"], .. options]).Without(_folder.Path);

    private void Edit(string from, string to) => _folder.Write("song.json", Plain.Replace(from, to, StringComparison.Ordinal));

    private List<string> Everything() => [.. _folder.Names.Select(name => $"{name} {File.GetLastWriteTimeUtc(_folder[name]):O} {Convert.ToHexString(SHA256.HashData(File.ReadAllBytes(_folder[name])))}")];

    [Fact]
    public void TheSameBytesAreExitCodeZeroAndNothingIsTouched()
    {
        Run("render");
        var before = Everything();
        var run = Run("verify");
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        Assert.StartsWith("Low Lantern: the same bytes as in the lock.\n", run.Out, StringComparison.Ordinal);
        Assert.Equal(before, Everything());
    }

    [Fact]
    public void AChangedParameterIsToldWithWhereAndByHowMuchOnlyWhatHangsOnItDiffers()
    {
        Run("render");
        Edit("\"depthDb\": 9", "\"depthDb\": 3");
        var before = Everything();
        var run = Run("verify", "--json");
        Assert.Equal(1, run.ExitCode);
        Assert.Equal(before, Everything());
        using var json = JsonDocument.Parse(run.Out);
        Assert.Equal("Node \"room\": depthDb was 9, and is 3 now.", Assert.Single(json.RootElement.GetProperty("why").EnumerateArray()).GetString());
        var outputs = json.RootElement.GetProperty("outputs").EnumerateArray().ToDictionary(output => Path.GetFileName(output.GetProperty("file").GetString())!);
        Assert.Equal("same", outputs["kick-out.wav"].GetProperty("renderedAgain").GetString());
        var room = outputs["room.wav"];
        Assert.Equal(("differs", "asRendered"), (room.GetProperty("renderedAgain").GetString(), room.GetProperty("fileThere").GetString()));

        // The first hit is at 0.5 s, and the cut falls some milliseconds before it. What the two cuts leave differs by less than the bass itself, 0.4 and its harmonic.
        Assert.InRange(room.GetProperty("firstDifferenceSeconds").GetDouble(), 0.48, 0.5);
        Assert.InRange(room.GetProperty("largestDifferenceDbfs").GetDouble(), -30, -8);
        Assert.True(room.GetProperty("differentSamples").GetInt64() > 10_000);
    }

    [Fact]
    public void OneAlteredSampleOfAnOutputIsFoundAtItsPlace()
    {
        Run("render");
        var bytes = File.ReadAllBytes(_folder["room.wav"]);
        var frame = 96_000;
        bytes[^(3 * ((6 * 48_000) - frame))] ^= 4; // the lowest byte of that frame in 24 bits: 4 steps of 2^-23
        File.WriteAllBytes(_folder["room.wav"], bytes);
        using var json = JsonDocument.Parse(Run("verify", "--json").Out);
        var room = json.RootElement.GetProperty("outputs").EnumerateArray().First(output => output.GetProperty("file").GetString()!.EndsWith("room.wav", StringComparison.Ordinal));
        Assert.Equal(("same", "altered", 1), (room.GetProperty("renderedAgain").GetString(), room.GetProperty("fileThere").GetString(), room.GetProperty("differentSamples").GetInt64()));
        Assert.Equal(2.0, room.GetProperty("firstDifferenceSeconds").GetDouble());
        Assert.Equal(20 * Math.Log10(4 / 8_388_608.0), room.GetProperty("largestDifferenceDbfs").GetDouble(), 1e-6);
        Assert.Equal("Output room.wav was altered after it was rendered.", Assert.Single(json.RootElement.GetProperty("why").EnumerateArray()).GetString());
    }

    [Fact]
    public void OutputsThatAreGoneAreNoDifferenceAndWhatIsNoSoundAnyMoreIsAltered()
    {
        Run("render");
        File.Delete(_folder["room.wav"]);
        var gone = Run("verify");
        Assert.Equal(0, gone.ExitCode);
        Assert.Matches(@"room\.wav +same +not there ", gone.Out);
        _folder.Write("room.wav", "no sound");
        var altered = Run("verify");
        Assert.Equal(1, altered.ExitCode);
        Assert.Matches(@"room\.wav +same +altered ", altered.Out);
    }

    [Fact]
    public void AChangedInputAndOutputsThatCameAndWentAreNamed()
    {
        Run("render");
        WaveFile.Write(_folder["bass.wav"], PlayedSong.Bass(0.4, 52, 62));
        Edit("\"kick\": { \"in\": \"kick\", \"file\": \"kick-out.wav\", \"encoding\": \"float32\" }", "\"more\": { \"in\": \"kick\", \"file\": \"more.wav\" }");
        var run = Run("verify");
        Assert.Equal(1, run.ExitCode);
        Assert.Contains("Input bass.wav has changed.", run.Out, StringComparison.Ordinal);
        Assert.Contains("Output \"more\" is new.", run.Out, StringComparison.Ordinal);
        Assert.Contains("Output \"kick\" is gone.", run.Out, StringComparison.Ordinal);
        Assert.Matches(@"kick-out\.wav +no longer in the graph", run.Out);
        Assert.Matches(@"more\.wav +not in the lock", run.Out);
    }

    [Fact]
    public void ALockThatSaysOtherwiseWithoutAReasonIsAFaultToBeReported()
    {
        Run("render");
        var text = File.ReadAllText(_folder["song.lock.json"]);
        _folder.Write("song.lock.json", text.Replace("\"output\": \"room\",\n      \"contentXxh128\": \"", "\"output\": \"room\",\n      \"contentXxh128\": \"0", StringComparison.Ordinal));
        var run = Run("verify");
        Assert.Equal(1, run.ExitCode);
        Assert.Contains("a fault in rendergraph", run.Out.ReplaceLineEndings(" "), StringComparison.Ordinal);
    }

    [Fact]
    public void WithoutALockThereIsNothingToVerify()
    {
        var run = Run("verify");
        Assert.Equal((1, ""), (run.ExitCode, run.Out));
        Assert.Equal("song.lock.json: RG502: there is no lock: the graph was not rendered yet, or its lock was deleted. Render it first: what has not been written down cannot be verified.\n", run.Error);
    }

    [Fact]
    public void ExplainSaysWhatRenderThenDoes()
    {
        var fresh = Run("explain");
        Assert.Equal((0, "Low Lantern: render would render, because\n  - there is no lock: the graph was not rendered yet, or its lock was deleted\nThe anchor would be measured anew.\n"), (fresh.ExitCode, fresh.Out));
        Run("render");
        Assert.StartsWith("Low Lantern: render would do nothing.", Run("explain").Out, StringComparison.Ordinal);
        Assert.Contains("Nothing had to be rendered", Run("render").Out, StringComparison.Ordinal);

        File.Delete(_folder["room.wav"]);
        Edit("\"depthDb\": 9", "\"depthDb\": 7");
        WaveFile.Write(_folder["kick.wav"], PlayedSong.Kick(55, 0.6));
        var before = Everything();
        Assert.Equal(
            """
            Low Lantern: render would render, because
              - node "room": depthDb was 9, and is 7 now
              - input kick.wav has changed
              - output room.wav is not there
            The anchor would be measured anew.

            """.ReplaceLineEndings("\n"), Run("explain").Out);
        Assert.Equal(before, Everything());
        using var json = JsonDocument.Parse(Run("explain", "--json").Out);
        Assert.False(json.RootElement.GetProperty("upToDate").GetBoolean());
        Assert.Equal(["graphChanged", "inputChanged", "outputMissing"], json.RootElement.GetProperty("reasons").EnumerateArray().Select(reason => reason.GetProperty("kind").GetString()));
        Assert.DoesNotContain("Nothing had to be rendered", Run("render").Out, StringComparison.Ordinal);
    }
}
