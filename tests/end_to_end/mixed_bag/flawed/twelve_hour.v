module twelve_hour(
    input clk,
    input reset,
    input ena,
    output reg pm,
    output reg [7:0] hh,
    output reg [7:0] mm,
    output reg [7:0] ss);

    always @(posedge clk) begin
        if (reset) begin
            hh <= 8'h12; mm <= 8'h00; ss <= 8'h00; pm <= 0;
        end else if (ena) begin
            if (ss == 8'h59) begin
                ss <= 0;
                if (mm == 8'h59) begin
                    mm <= 0;
                    if (hh == 8'h12) pm <= ~pm;
                    if (hh == 8'h12) hh <= 8'h01;
                    else if (hh[3:0] == 9) begin hh[3:0] <= 0; hh[7:4] <= hh[7:4] + 1; end
                    else hh[3:0] <= hh[3:0] + 1;
                end else if (mm[3:0] == 9) begin mm[3:0] <= 0; mm[7:4] <= mm[7:4] + 1; end
                else mm[3:0] <= mm[3:0] + 1;
            end else if (ss[3:0] == 9) begin ss[3:0] <= 0; ss[7:4] <= ss[7:4] + 1; end
            else ss[3:0] <= ss[3:0] + 1;
        end
    end
endmodule
