// Times an exposure by hand: one button starts it, another one stops it, and both may be pressed for
// as long as one likes. The buttons come from another clock, so each goes through two flip-flops.
module exposure_watch #(parameter CLK_HZ = 12_000_000) (
    input  wire       clk,
    input  wire       rst_n,
    input  wire       start,
    input  wire       stop,
    output reg  [5:0] seconds,
    output reg  [6:0] minutes
);
    localparam WIDTH = $clog2(CLK_HZ);

    reg [2:0] start_seen, stop_seen;
    reg running;
    reg [WIDTH-1:0] clocks;
    wire start_pressed = start_seen[1] && !start_seen[2];
    wire stop_pressed = stop_seen[1] && !stop_seen[2];
    wire second = clocks == CLK_HZ - 1;

    always @(posedge clk or negedge rst_n)
        if (!rst_n) begin
            start_seen <= 3'b000;
            stop_seen <= 3'b000;
            running <= 1'b0;
        end else begin
            start_seen <= {start_seen[1:0], start};
            stop_seen <= {stop_seen[1:0], stop};
            if (stop_pressed) running <= 1'b0;
            else if (start_pressed) running <= 1'b1;
        end

    always @(posedge clk or negedge rst_n)
        if (!rst_n) begin
            clocks <= 0;
            seconds <= 6'd0;
            minutes <= 7'd0;
        end else if (running) begin
            clocks <= second ? 0 : clocks + 1;
            if (second) seconds <= seconds == 6'd59 ? 6'd0 : seconds + 6'd1;
            if (second && seconds == 6'd59) minutes <= minutes == 7'd99 ? 7'd0 : minutes + 7'd1;
        end else begin
            clocks <= 0;
        end
endmodule
