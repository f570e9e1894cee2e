// Open-shutter time, minutes and seconds. Cloud in front of the star: pause stops everything,
// the clocks already counted of the second included.
module exposure #(
    parameter CLK_HZ = 12_000_000
) (
    input  wire       clk,
    input  wire       rst_n,      // active low
    input  wire       pause,
    output reg  [5:0] seconds,
    output reg  [6:0] minutes
);
    reg [23:0] clocks;

    always @(posedge clk) begin
        if (!rst_n) begin
            clocks  <= 24'd0;
            seconds <= 6'd0;
            minutes <= 7'd0;
        end else if (!pause) begin
            clocks <= clocks + 24'd1;
            if (clocks == CLK_HZ - 1) begin
                clocks  <= 24'd0;
                seconds <= seconds + 6'd1;
                if (seconds == 6'd59) begin
                    seconds <= 6'd0;
                    minutes <= minutes + 7'd1;
                    if (minutes == 7'd99)
                        minutes <= 7'd0;
                end
            end
        end
    end
endmodule
