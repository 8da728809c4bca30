using System.Text.Json;
using Xunit;

namespace RenderGraph.Cli.Tests.Batch;

public sealed class BatchCommandTests
{
    [Fact]
    public void RendersEverySongAndNamesThoseThatAreNotDoneWithTheirReasons()
    {
        using var set = new SongSet("fine", "loud", "no kick", "no audio");
        set.Add("loud", amplitude: 0.99);
        File.Delete(set["songs/no kick/kick.wav"]);
        File.WriteAllText(set["songs/no audio/bass.wav"], "no sound");

        var run = set.Batch("--class");
        Assert.Equal(1, run.ExitCode);
        Assert.Contains("- no kick: recipe.json:3:32: RG301: ", run.Out, StringComparison.Ordinal);
        Assert.Contains("1 done, 1 gate failed, 2 unreadable", run.Out, StringComparison.Ordinal);
        Assert.Equal(4, run.Error.Split('\n', StringSplitOptions.RemoveEmptyEntries).Length);
        Assert.Equal(
            [
                "album.txt", "batch.json", "class.md", "fine/mix.wav", "fine/sheet.md", "junit.xml", "loud/mix.wav", "loud/sheet.md", "no audio/sheet.md", "no kick/sheet.md",
            ],
            set.Results().Keys.Where(file => !file.EndsWith("result.json", StringComparison.Ordinal) && !file.EndsWith("lock.json", StringComparison.Ordinal)));

        using var json = JsonDocument.Parse(File.ReadAllText(set["out/batch.json"]));
        Assert.Equal(["done", "gateFailed", "unreadable", "unreadable"], json.RootElement.GetProperty("songs").EnumerateArray().Select(song => song.GetProperty("state").GetString()!));
        Assert.DoesNotContain(Path.GetTempPath(), File.ReadAllText(set["out/batch.json"]), StringComparison.Ordinal);
        Assert.Contains("before the full mix plays", File.ReadAllText(set["out/class.md"]), StringComparison.Ordinal);
        Assert.Contains("**Try**", File.ReadAllText(set["out/fine/sheet.md"]), StringComparison.Ordinal);
    }

    [Fact]
    public void ARecipeIsBoundToEachSongWithWhatTheSongSaysItself()
    {
        using var set = new SongSet("first", "second", "third");
        File.WriteAllText(set["recipe.json"], """
            {
              "format": 1, "title": "Room for the kick",
              "stems": { "kick": { "match": "*kick*" }, "bass": { "match": "*bass*", "optional": true } },
              "anchor": { "stem": "kick", "frequencyHz": 50 },
              "nodes": { "room": { "type": "keyedCut", "in": "bass", "frequencyHz": "anchor", "depthDb": 6 }, "mix": { "type": "mix", "in": ["kick", "room"], "gainDb": -6 } },
              "outputs": { "mix": { "in": "mix", "file": "mix.wav" } }
            }
            """);
        File.Move(set["songs/first/kick.wav"], set["songs/first/01 KICK in.wav"]);
        File.Delete(set["songs/second/bass.wav"]);
        File.WriteAllText(set["songs/third/song.json"], """{ "title": "A Third One", "nodes": { "room": { "depthDb": 99 } } }""");

        var run = set.Batch();
        Assert.Equal(1, run.ExitCode);
        Assert.Contains("Room for the kick: 3 songs", run.Out, StringComparison.Ordinal);
        Assert.Contains("- third: song.json:1:", run.Out, StringComparison.Ordinal);
        using var json = JsonDocument.Parse(File.ReadAllText(set["out/batch.json"]));
        var songs = json.RootElement.GetProperty("songs").EnumerateArray().ToList();
        Assert.Equal(["done", "done", "refused"], songs.Select(song => song.GetProperty("state").GetString()!));
        Assert.Equal(
            ["kick 01 KICK in.wav by \"*kick*\"", "bass bass.wav by \"*bass*\""],
            songs[0].GetProperty("stems").EnumerateArray().Select(stem => $"{stem.GetProperty("name").GetString()} {stem.GetProperty("file").GetString()} {stem.GetProperty("by").GetString()}"));
        Assert.Equal(
            ["stem \"bass\": no file of the song is it", "node \"room\": it takes from \"bass\", which is not there", "an input of node \"mix\": it takes from \"room\", which is not there"],
            songs[1].GetProperty("dropped").EnumerateArray().Select(part => part.GetString()));
    }

    [Fact]
    public void AFaultyRecipeIsToldOnceAndNoSongIsTouched()
    {
        using var set = new SongSet("first", "second");
        File.WriteAllText(set["recipe.json"], """{ "format": 1, "stems": { "kick": { "match": "*kick*", "colour": 1 } }, "nodes": {}, "outputs": { "mix": { "in": "kick", "file": "mix.wav" } } }""");
        var run = set.Batch();
        Assert.Equal((2, ""), (run.ExitCode, run.Out));
        Assert.StartsWith("recipe.json:1:56: RG103: ", run.Error, StringComparison.Ordinal);
        Assert.False(Directory.Exists(set["out"]));
    }

    [Fact]
    public void WhatIsDoneIsNotDoneAgain()
    {
        using var set = new SongSet("a", "b", "broken");
        File.Delete(set["songs/broken/kick.wav"]);
        set.Batch("--class");
        var expected = set.Results();
        Assert.Equal("", Rendered());

        // Time stamps say nothing.
        foreach (var file in Directory.EnumerateFiles(set["songs"], "*", SearchOption.AllDirectories))
            File.SetLastWriteTimeUtc(file, new(2001, 2, 3, 4, 5, 6, DateTimeKind.Utc));
        Assert.Equal("", Rendered());

        // One bit of one sample.
        var stem = File.ReadAllBytes(set["songs/b/bass.wav"]);
        stem[^1001] ^= 1;
        File.WriteAllBytes(set["songs/b/bass.wav"], stem);
        Assert.Equal("b", Rendered());
        stem[^1001] ^= 1;
        File.WriteAllBytes(set["songs/b/bass.wav"], stem);
        Assert.Equal("b", Rendered());
        Assert.Equal(expected, set.Results());

        // Outputs, and what is kept beside them.
        File.Delete(set["out/a/mix.wav"]);
        File.AppendAllText(set["out/b/mix.wav"], "x");
        Assert.Equal("a b", Rendered());
        File.Delete(set["out/a/song.lock.json"]);
        Assert.Equal("a", Rendered());
        File.WriteAllText(set["out/a/result.json"], "{");
        File.Delete(set["out/b/result.json"]);
        Assert.Equal("", Rendered());
        Assert.Equal(expected, set.Results());

        // A file that comes or goes may bind otherwise.
        File.WriteAllText(set["songs/a/song.json"], "{}");
        Assert.Equal("", Rendered());

        string Rendered() => string.Join(' ', set.Batch("--class", "--workers", "1").Error.Split('\n').Where(line => line.EndsWith(": done", StringComparison.Ordinal)).Select(line => line[line.LastIndexOf("  ", StringComparison.Ordinal)..^6].Trim()));
    }

    [Fact]
    public void AnotherRecipeIsAnotherResult()
    {
        using var set = new SongSet("a");
        set.Batch();
        var before = set.Results();
        File.WriteAllText(set["recipe.json"], File.ReadAllText(set["recipe.json"]).Replace("\"depthDb\": 6", "\"depthDb\": 7", StringComparison.Ordinal));
        set.Batch();
        Assert.NotEqual(before["a/mix.wav"], set.Results()["a/mix.wav"]);
        File.WriteAllText(set["recipe.json"], File.ReadAllText(set["recipe.json"]).Replace("\"depthDb\": 7", "\"depthDb\": 6", StringComparison.Ordinal));
        set.Batch();
        Assert.Equal(before, set.Results());
    }

    [Fact]
    public void WorkersAndPartsChangeNoByte()
    {
        using var set = new SongSet("a", "b", "c", "d", "e");
        File.Delete(set["songs/c/kick.wav"]);
        Assert.Equal(1, set.Batch("--class", "--workers", "1").ExitCode);
        var expected = set.Results();

        foreach (var workers in (string[])["2", "8"])
        {
            Directory.Delete(set["out"], recursive: true);
            set.Batch("--class", "--workers", workers);
            Assert.Equal(expected, set.Results());
        }

        // Parts in one folder, and each in a folder of its own.
        Directory.Delete(set["out"], recursive: true);
        string[] parts = ["1/3", "2/3", "3/3"];
        foreach (var part in parts)
            set.Batch("--shard", part);
        Assert.Equal(1, set.Run("batch", "merge", set["out"], "--out", set["out"], "--class").ExitCode);
        Assert.Equal(expected, Without(set.Results()));

        var folders = parts.Select(part => set[$"part {part[0]}"]).ToList();
        foreach (var (part, folder) in parts.Zip(folders))
            set.Run("batch", set["recipe.json"], set["songs/*"], "--out", folder, "--shard", part);
        set.Run(["batch", "merge", .. folders, "--out", set["whole"], "--class"]);
        Assert.Equal(expected.Where(IsAboutAll), set.Results("whole").Where(IsAboutAll));

        static bool IsAboutAll(KeyValuePair<string, string> file) => !file.Key.Contains('/') || file.Key.EndsWith("sheet.md", StringComparison.Ordinal);

        static SortedDictionary<string, string> Without(SortedDictionary<string, string> results) =>
            new(results.Where(file => !file.Key.Contains("-of-", StringComparison.Ordinal)).ToDictionary(), StringComparer.Ordinal);
    }

    [Fact]
    public void PartsThatDoNotBelongTogetherAreNotJoined()
    {
        using var set = new SongSet("a", "b");
        set.Run("batch", set["recipe.json"], set["songs/*"], "--out", set["one"], "--shard", "1/2");
        set.Run("batch", set["recipe.json"], set["songs/a"], "--out", set["two"], "--shard", "2/2");
        set.Run("batch", set["recipe.json"], set["songs/*"], "--out", set["third"], "--shard", "3/3");
        set.Run("batch", set["recipe.json"], set["songs/*"], "--out", set["whole"]);

        Assert.Equal((2, "rendergraph batch merge: part 2/2 is missing. Run what is missing, and name its folder too.\n"), Merge("one"));
        Assert.Equal(
            (2, "rendergraph batch merge: two/batch.2-of-2.json was made from another list of songs (1) than one/batch.1-of-2.json (2). Give every part the same songs.\n"), Merge("one", "two"));
        Assert.Equal(2, Merge("one", "third").ExitCode);
        Assert.Equal(2, Merge("one", "whole").ExitCode);
        Assert.Equal(3, Merge("songs").ExitCode);
        Assert.Equal((3, "rendergraph batch merge: recipe.json is not the result of a batch. Name a folder that a batch wrote into, or its batch.json.\n"), Merge("recipe.json"));
        Assert.Equal(3, Merge("nowhere").ExitCode);

        (int ExitCode, string Error) Merge(params string[] parts)
        {
            var run = set.Run(["batch", "merge", .. parts.Select(part => set[part]), "--out", set["merged"]]);
            return (run.ExitCode, run.Error);
        }
    }

    [Fact]
    public void FaultsOfTheCommandLineAreToldBeforeAnythingIsDone()
    {
        using var set = new SongSet("a");
        Assert.Equal(2, set.Run("batch", set["recipe.json"], set["nothing/*"], "--out", set["out"], "--shard", "6/5").ExitCode);
        Assert.Equal(2, set.Run("batch", set["recipe.json"], set["songs/*"]).ExitCode);
        Assert.Equal(2, set.Run("batch", set["recipe.json"], "--out", set["out"]).ExitCode);
        Assert.Equal(
            (2, "rendergraph batch: there is no option \"--wokers\". Did you mean --workers?\n"),
            (set.Run("batch", set["recipe.json"], "x", "--out", set["out"], "--wokers", "2").ExitCode, set.Run("batch", set["recipe.json"], "x", "--out", set["out"], "--wokers", "2").Error));
        Assert.Equal(3, set.Run("batch", set["no.json"], set["songs/*"], "--out", set["out"]).ExitCode);
        Assert.Equal(2, set.Run("batch", set["recipe.json"], set["songs/*"], "--out", set["out"], "--workers", "0").ExitCode);
        Assert.False(Directory.Exists(set["out"]));
    }

    [Fact]
    public void WhereNothingCanBeWrittenEverySongSaysSo()
    {
        using var set = new SongSet("a", "b");
        File.WriteAllText(set["out"], "a file");
        Assert.Equal(4, set.Batch().ExitCode);
    }

    [Fact]
    public void OddNamesAreSongsLikeOthers()
    {
        string[] names = ["-dash", "with space", "[brackets]", "Żółć 歌", "a'b\"c", "Case", "case", "%41 #?&", new string('l', 200)];
        using var set = new SongSet(names);
        var run = set.Batch("--json");
        Assert.Equal(0, run.ExitCode);
        using var json = JsonDocument.Parse(run.Out);
        Assert.Equal(names.Length, json.RootElement.GetProperty("counts").GetProperty("done").GetInt32());
        Assert.Equal(names.Length, set.Results().Keys.Count(file => file.EndsWith("mix.wav", StringComparison.Ordinal)));
    }

    [Fact]
    public void AnInterruptedBatchSaysSo()
    {
        using var set = new SongSet("a");
        using var interrupted = new CancellationTokenSource();
        interrupted.Cancel();
        var run = CommandRun.Of(interrupted.Token, "batch", set["recipe.json"], set["songs/*"], "--out", set["out"]);
        Assert.Equal(130, run.ExitCode);
        Assert.False(File.Exists(set["out/batch.json"]));
    }
}
