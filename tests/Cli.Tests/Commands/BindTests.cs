using System.Text.Json;
using RenderGraph.Cli.Binding;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Binding;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes;
using RenderGraph.Nodes.AudioFiles;
using Xunit;

namespace RenderGraph.Cli.Tests.Commands;

[Collection(UsesTheDemo.Name)]
public sealed class BindTests(DemoFixture demo)
{
    private const string Recipe = """
        {
          "format": 1,
          "stems": {
            "kick": { "match": ["kick*", "bd*"] },
            "sub": { "match": "*sub*" },
            "choir": { "match": "*choir*", "optional": true },
            "others": { "match": "*", "many": true, "optional": true }
          },
          "leaveOut": "*click*",
          "anchor": { "stem": "kick", "frequencyHz": "measure" },
          "nodes": {
            "subRoom": { "type": "keyedCut", "in": "sub", "frequencyHz": "anchor", "depthDb": 9 },
            "choirLean": { "type": "highPass", "in": "choir", "frequencyHz": 110 },
            "mix": { "type": "mix", "in": ["kick", "subRoom", "choirLean", "others"], "gainDb": -3 }
          },
          "outputs": {
            "mix": { "in": "mix", "file": "render/full.wav", "encoding": "pcm16" },
            "choir": { "in": "choirLean", "file": "render/choir.wav" }
          }
        }
        """;

    [Fact]
    public void WritesTheSongsGraphAndTellsWhatTookWhichFileAndWhatIsDropped()
    {
        using var folder = Song("kick", "sub", "keys", "voice", "hats");
        File.Move(folder["song/stems/hats.wav"], folder["song/stems/my click.wav"]);
        var run = CommandRun.Of("bind", folder["recipe.json"], folder["song"]).Without(folder.Path);
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        Assert.Equal(
            """
            song, by the recipe recipe.json

              stem      by       file
              kick      "kick*"  stems/kick.wav
              sub       "*sub*"  stems/sub.wav
              others-1  "*"      stems/keys.wav
              others-2  "*"      stems/voice.wav

              left out
              stems/my click.wav, by "*click*"

              dropped
              stem "choir": no file of the song is it
              node "choirLean": it takes from "choir", which is not there
              an input of node "mix": it takes from "choirLean", which is not there
              output "choir": it takes from "choirLean", which is not there

              written    song/recipe.json
              next       rendergraph render song/recipe.json

            """, run.Out);
        Assert.Equal(
            """
            // Bound to this song by rendergraph. What is changed here, binding it once more would not know: song.json is the place for that.
            // Left out: stems/my click.wav, by "*click*".
            {
              "format": 1,
              "title": "song",
              "boundFrom": {
                "recipe": "recipe.json",
                "dropped": [
                  "stem \"choir\": no file of the song is it",
                  "node \"choirLean\": it takes from \"choir\", which is not there",
                  "an input of node \"mix\": it takes from \"choirLean\", which is not there",
                  "output \"choir\": it takes from \"choirLean\", which is not there"
                ]
              },

              "stems": {
                // by "kick*"
                "kick": { "file": "stems/kick.wav" },
                // by "*sub*"
                "sub": { "file": "stems/sub.wav" },
                // by "*"
                "others-1": { "file": "stems/keys.wav" },
                // by "*"
                "others-2": { "file": "stems/voice.wav" }
              },

              "anchor": { "stem": "kick", "frequencyHz": "measure" },

              "nodes": {
                "others": { "type": "mix", "in": ["others-1", "others-2"] },
                "subRoom": { "type": "keyedCut", "in": "sub", "frequencyHz": "anchor", "depthDb": 9 },
                "mix": { "type": "mix", "in": ["kick", "subRoom", "others"], "gainDb": -3 }
              },

              "outputs": {
                "mix": { "in": "mix", "file": "render/full.wav", "encoding": "pcm16" }
              }
            }

            """, File.ReadAllText(folder["song/recipe.json"]));
    }

    [Fact]
    public void WhatIsWrittenRendersToTheBytesThatBindingInMemoryGives()
    {
        using var folder = Song("kick", "sub", "keys", "voice");
        folder.Write("song/song.json", """{ "title": "Ferry", "nodes": { "subRoom": { "depthDb": 6 } }, "stems": { "sub": { "gainDb": -1 } } }""");
        Assert.Equal(0, CommandRun.Of("bind", folder["recipe.json"], folder["song"]).ExitCode);
        foreach (var command in new[] { "check", "plan", "render" })
        {
            var run = CommandRun.Of(command, folder["song/recipe.json"]);
            Assert.Equal((0, ""), (run.ExitCode, run.Error));
            Assert.StartsWith("Ferry", run.Out, StringComparison.Ordinal);
        }

        var plan = CommandRun.Of("plan", folder["song/recipe.json"]);
        Assert.Contains("\n  bound from the recipe recipe.json, without\n    - stem \"choir\": no file of the song is it\n    - node \"choirLean\": it takes from \"choir\", which is not there\n", plan.Out, StringComparison.Ordinal);
        using var json = JsonDocument.Parse(CommandRun.Of("plan", folder["song/recipe.json"], "--format", "json").Out);
        Assert.Equal(4, json.RootElement.GetProperty("boundFrom").GetProperty("dropped").GetArrayLength());

        var recipe = RenderGraph.Graph.Binding.Recipe.Open(folder["recipe.json"], BuiltInNodes.Catalog, new())!;
        var outcome = GraphRun.Run(
            new(new SongFolder(folder["song"]).Source(recipe), folder["out"]), new(BuiltInNodes.Catalog, new DiskAudioFiles(), CancellationToken.None));
        Assert.Empty(outcome.Diagnostics.InOrder);
        Assert.Equal(File.ReadAllBytes(folder["song/render/full.wav"]), File.ReadAllBytes(folder["out/render/full.wav"]));
        Assert.Equal(["render/full.wav"], Directory.GetFiles(folder["out"], "*", SearchOption.AllDirectories).Select(path => Path.GetRelativePath(folder["out"], path)));
    }

    [Fact]
    public void WritesOverAnotherFileOnlyIfForcedAndNeverOverARecipeOrASong()
    {
        using var folder = Song("kick", "sub");
        var bind = new[] { "bind", folder["recipe.json"], folder["song"] };
        Assert.Equal(0, CommandRun.Of(bind).ExitCode);
        folder.Write("song/recipe.json", "mine");
        var refused = CommandRun.Of(bind).Without(folder.Path);
        Assert.Equal(
            (4, "song/recipe.json: RG403: this file is there already, and would be overwritten. Allow it with --force, or name another with --out.\n"), (refused.ExitCode, refused.Error));
        Assert.Equal("mine", File.ReadAllText(folder["song/recipe.json"]));
        Assert.Equal(0, CommandRun.Of([.. bind, "--force"]).ExitCode);
        Assert.NotEqual("mine", File.ReadAllText(folder["song/recipe.json"]));

        folder.Write("song/song.json", "{}");
        foreach (var (file, name) in new[] { ("recipe.json", "the recipe"), ("song/song.json", "the song's own file") })
        {
            refused = CommandRun.Of([.. bind, "--force", "--out", folder[file]]).Without(folder.Path);
            Assert.Equal((4, $"{file}: RG401: the graph would be written over {name}. Name another file with --out.\n"), (refused.ExitCode, refused.Error));
        }

        Assert.Equal(["recipe.json", "song/recipe.json", "song/song.json", "song/stems/kick.wav", "song/stems/sub.wav"], folder.Names);
    }

    [Fact]
    public void AGraphMayBeWrittenElsewhereAndFindsTheStems()
    {
        using var folder = Song("kick", "sub", "keys");
        Directory.CreateDirectory(folder["graphs"]);
        var run = CommandRun.Of("bind", folder["recipe.json"], folder["song"], "--out", folder["graphs/ferry.json"]).Without(folder.Path);
        Assert.Contains("next       rendergraph render graphs/ferry.json --allow-outside", run.Out, StringComparison.Ordinal);
        Assert.Equal(0, CommandRun.Of("render", folder["graphs/ferry.json"], "--allow-outside").ExitCode);
        Assert.True(File.Exists(folder["graphs/render/full.wav"]));
    }

    [Fact]
    public void ARecipeIsCheckedByItself()
    {
        using var folder = Song();
        var run = CommandRun.Of("check", folder["recipe.json"]).Without(folder.Path);
        Assert.Equal(
            """
            recipe.json: the recipe is in order. Its stems take, in this order:

              stem    takes        files that are like
              kick    one          "kick*", "bd*"
              sub     one          "*sub*"
              choir   one or none  "*choir*"
              others  any number   "*"

              left out: "*click*"

              next  rendergraph bind recipe.json SONG

            """, run.Out);
        using var json = JsonDocument.Parse(CommandRun.Of("check", folder["recipe.json"], "--json").Out);
        Assert.True(json.RootElement.GetProperty("recipe").GetBoolean());
        Assert.Equal(["kick*", "bd*"], json.RootElement.GetProperty("stems")[0].GetProperty("match").EnumerateArray().Select(pattern => pattern.GetString()));

        folder.Write("recipe.json", Recipe.Replace("110", "25000", StringComparison.Ordinal));
        run = CommandRun.Of("check", folder["recipe.json"]).Without(folder.Path);
        Assert.Equal((2, "recipe.json:13:70: RG203: node \"choirLean\" asks for frequencyHz 25000, but it must lie between 10 and 20000. The most it can be is 20000.\n"), (run.ExitCode, run.Error));
    }

    [Theory]
    [InlineData("render")]
    [InlineData("plan")]
    [InlineData("analyze")]
    [InlineData("hits")]
    public void ARecipeInThePlaceOfAGraphIsTold(string command)
    {
        using var folder = Song();
        var run = CommandRun.Of(command, folder["recipe.json"]).Without(folder.Path);
        Assert.Equal(
            (2, "recipe.json:4:15: RG215: this is a recipe: its stems say which files they match, and not which they are. Bind it to a song's folder, rendergraph bind recipe.json FOLDER, and use the graph that this writes.\n"),
            (run.ExitCode, run.Error));
    }

    [Fact]
    public void FaultsOfTheRecipeTheSongAndItsFilesComeAllAtOnceAndNothingIsWritten()
    {
        using var folder = Song("kick", "keys");
        folder.Write("recipe.json", Recipe.Replace("110", "25000", StringComparison.Ordinal).Replace("[\"kick*\", \"bd*\"]", "\"*k*\"", StringComparison.Ordinal));
        folder.Write("song/song.json", "{\n  \"nodes\": { \"subRoom\": { \"depthDb\": 90 } }\n}\n");
        var run = CommandRun.Of("bind", folder["recipe.json"], folder["song"], "--json").Without(folder.Path);
        Assert.Equal(2, run.ExitCode);
        Assert.Equal(
            """
            recipe.json:4:24: RG312: stem "kick" takes one file, but 2 match: "stems/keys.wav" by "*k*", "stems/kick.wav" by "*k*". Narrow the pattern, exclude with "!...", or add "many": true to have them summed; for this song alone, name its file in song.json.
            recipe.json:5:23: RG311: nothing in the song is stem "sub": no file's name is like "*sub*". Name its file in song.json, or let the recipe say that the stem is "optional": true. There are "stems/keys.wav", "stems/kick.wav".
            recipe.json:13:70: RG203: node "choirLean" asks for frequencyHz 25000, but it must lie between 10 and 20000. The most it can be is 20000.
            song/song.json:2:38: RG203: node "subRoom" asks for depthDb 90, but it must lie between 0 and 36. The most it can be is 36.

            """, run.Error);
        using var json = JsonDocument.Parse(run.Out);
        Assert.Equal(
            ["recipe.json", "recipe.json", "recipe.json", "song.json"],
            json.RootElement.GetProperty("findings").EnumerateArray().Select(found => Path.GetFileName(found.GetProperty("file").GetString())));
        Assert.Equal(["recipe.json", "song/song.json", "song/stems/keys.wav", "song/stems/kick.wav"], folder.Names);
    }

    [Fact]
    public void AFaultOfAStemsFileStandsWhereItWasTaken()
    {
        using var folder = Song("kick", "sub");
        folder.Write("song/stems/sub.wav", "not audio");
        folder.Write("song/song.json", "{ \"stems\": { \"kick\": { \"file\": \"stems/kik.wav\" } }, \"leaveOut\": \"kick\" }");
        var run = CommandRun.Of("bind", folder["recipe.json"], folder["song"]).Without(folder.Path);
        Assert.Equal(3, run.ExitCode);
        Assert.Contains("recipe.json:5:23: RG303: stem \"sub\" (stems/sub.wav): ", run.Error, StringComparison.Ordinal);
        Assert.Contains("song/song.json:1:32: RG301: stem \"kick\" (stems/kik.wav): there is no such file. Did you mean \"stems/kick.wav\"?\n", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void JsonTellsTheSame()
    {
        using var folder = Song("kick", "sub", "keys");
        File.Copy(folder["song/stems/keys.wav"], folder["song/stems/click.wav"]);
        folder.Write("song/song.json", """{ "stems": { "sub": { "file": "stems/sub.wav" } } }""");
        using var json = JsonDocument.Parse(CommandRun.Of("bind", folder["recipe.json"], folder["song"], "--json").Out);
        var root = json.RootElement;
        Assert.Equal((true, "song", folder["song/recipe.json"]), (root.GetProperty("ok").GetBoolean(), root.GetProperty("title").GetString(), root.GetProperty("graph").GetString()));
        Assert.Equal(
            ["kick stems/kick.wav kick*", "sub stems/sub.wav ", "others stems/keys.wav *"],
            root.GetProperty("stems").EnumerateArray().Select(stem => $"{stem.GetProperty("stem").GetString()} {stem.GetProperty("file").GetString()} {stem.GetProperty("pattern").GetString()}"));
        Assert.Equal("stems/click.wav", root.GetProperty("leftOut")[0].GetProperty("file").GetString());
        Assert.Equal("stem \"choir\"", root.GetProperty("dropped")[0].GetProperty("part").GetString());
        Assert.Empty(root.GetProperty("findings").EnumerateArray());
    }

    [Fact]
    public void StemsBehindALinkThatLeadsOutOfTheSongAreTakenOnlyIfAllowed()
    {
        using var folder = Song("kick", "sub");
        Directory.Move(folder["song/stems"], folder["elsewhere"]);
        Directory.CreateSymbolicLink(folder["song/stems"], folder["elsewhere"]);
        var run = CommandRun.Of("bind", folder["recipe.json"], folder["song"]).Without(folder.Path);
        Assert.Equal(2, run.ExitCode);
        Assert.Contains("recipe.json:4:24: RG212: stem \"kick\" (stems/kick.wav): a link leads out of the graph's folder, to ", run.Error, StringComparison.Ordinal);
        run = CommandRun.Of("bind", folder["recipe.json"], folder["song"], "--allow-outside");
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        Assert.EndsWith(" --allow-outside\n", run.Out, StringComparison.Ordinal);
    }

    [Fact]
    public void AFolderThatIsNoSongIsTold()
    {
        using var folder = Song();
        Directory.CreateDirectory(folder["empty"]);
        Told("song", "song: RG301: there are no audio files in this folder, nor in one in it that is called stems, audio or wav. Name the folder of a song.\n");
        Told("nowhere", "nowhere: RG301: this folder is not there. Check the path; it counts from the folder that the command runs in.\n");
        Told("recipe.json", "recipe.json: RG301: this is a file, but a song is a folder. Name the folder that it lies in.\n");

        void Told(string song, string message)
        {
            var run = CommandRun.Of("bind", folder["recipe.json"], folder[song], "--out", folder["x.json"]).Without(folder.Path);
            Assert.Equal((3, message), (run.ExitCode, run.Error));
        }
    }

    [Fact]
    public void AnOutputNeverReplacesAStem()
    {
        using var folder = Song("kick", "sub");
        folder.Write("recipe.json", Recipe.Replace("render/full.wav", "stems/sub.wav", StringComparison.Ordinal));
        var run = CommandRun.Of("bind", folder["recipe.json"], folder["song"]).Without(folder.Path);
        Assert.Equal(4, run.ExitCode);
        Assert.Contains("RG401: output \"mix\" (stems/sub.wav) would be written over stem \"sub\" (stems/sub.wav). ", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void AnotherSpellingOfTheSongsOwnFileIsTold()
    {
        using var folder = Song("kick", "sub");
        folder.Write("song/Song.JSON", "{ \"tempoBpm\": 96 }");
        if (File.Exists(folder["song/song.json"]))
            return; // this system takes both for one
        var run = CommandRun.Of("bind", folder["recipe.json"], folder["song"]).Without(folder.Path);
        Assert.Equal((0, "song/Song.JSON: RG209: warning: nothing reads this file: what a song says differently stands in song.json, written so. Call it song.json.\n"), (run.ExitCode, run.Error));
    }

    [Fact]
    public void AFinishedMixIsLeftOutUnlessTheSongNamesIt()
    {
        using var folder = Song("kick", "sub");
        File.Copy(folder["song/stems/sub.wav"], folder["song/My Mix.wav"]);
        var run = CommandRun.Of("bind", folder["recipe.json"], folder["song"]).Without(folder.Path);
        Assert.Equal(
            (0, "song/My Mix.wav: RG209: warning: by its name this is a finished mix, not a stem, and it is left out. If it is a stem, name it in song.json as the file of one.\n"), (run.ExitCode, run.Error));

        folder.Write("song/song.json", "{ \"stems\": { \"others\": { \"file\": \"My Mix.wav\" } } }");
        run = CommandRun.Of("bind", folder["recipe.json"], folder["song"], "--force");
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        Assert.Contains("\"others\": { \"file\": \"My Mix.wav\" }", File.ReadAllText(folder["song/recipe.json"]), StringComparison.Ordinal);
    }

    [Fact]
    public void NamesOfEveryKindAreBoundAndRendered()
    {
        using var folder = Song("kick", "sub");
        var deep = Path.Combine(folder.Path, "song", new string('d', 100), new string('e', 100));
        Directory.CreateDirectory(Path.Combine(deep, "stems"));
        string[] names = ["-k.wav", "[x] *.wav", "KEYS.wav", "keys.wav", "caf\u00E9.wav", "cafe\u0301.wav", "a  b.wav", "#1 {x} $y.wav", new string('n', 200) + ".wav"];
        foreach (var name in (string[])[.. names, "kick.wav", "sub.wav"])
            File.Copy(folder[$"song/stems/{(name == "kick.wav" ? name : "sub.wav")}"], Path.Combine(deep, "stems", name));

        // File systems that take two of these names for one have fewer.
        var there = Directory.GetFiles(Path.Combine(deep, "stems")).Length - 2;
        var run = CommandRun.Of("bind", folder["recipe.json"], deep);
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        Assert.Equal(there, run.Out.Split('\n').Count(line => line.StartsWith("  others-", StringComparison.Ordinal)));
        run = CommandRun.Of("render", Path.Combine(deep, "recipe.json"));
        Assert.Equal((0, ""), (run.ExitCode, string.Concat(run.Error.Split('\n').Where(line => !line.Contains(" RG405: warning: ", StringComparison.Ordinal)))));
        Assert.True(File.Exists(Path.Combine(deep, "render", "full.wav")));
    }

    [Fact]
    public void AFolderThatBeginsWithADashIsNamedAfterTwoDashes()
    {
        using var folder = Song("kick", "sub");
        Directory.Move(folder["song"], folder["-song"]);
        var run = CommandRun.Of("bind", "--out", folder["x.json"], "--", folder["recipe.json"], folder["-song"]);
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
    }

    // The recipe and a song's folder with some of the demo's stems.
    private TempFolder Song(params string[] stems)
    {
        var folder = new TempFolder();
        Directory.CreateDirectory(folder["song/stems"]);
        folder.Write("recipe.json", Recipe);
        foreach (var stem in stems)
            File.Copy(Path.Combine(demo.Folder, "stems", stem + ".wav"), folder[$"song/stems/{stem}.wav"]);
        return folder;
    }
}
